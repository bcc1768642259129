// Draws any calculator from its declaration. Works no sum: what is typed goes to Python, words come back.

let views = 0;
const IDLE_MS = 3000;

function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value == null) continue;
    node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children);
  return node;
}

function kept(name) {
  try {
    return JSON.parse(localStorage.getItem(name));
  } catch {
    return null;
  }
}

function keep(name, value) {
  try {
    localStorage.setItem(name, JSON.stringify(value));
  } catch {
    // a browser that keeps nothing still calculates
  }
}

function fieldOf(sum, given, id, act) {
  const hint = make("p", { class: "gs-hint", id: `${id}-hint` });
  const label = make("label", { for: id }, given.label);
  let box;
  if (given.options.length) {
    box = make("select", { id, "aria-describedby": hint.id });
    box.append(...given.options.map((each) => make("option", { value: each }, each)));
    box.addEventListener("change", () => act.type(given.name, box.value));
  } else {
    box = make("input", {
      id,
      type: "text",
      autocomplete: "off",
      autocapitalize: "off",
      spellcheck: "false",
      enterkeyhint: "done",
      inputmode: given.signed ? "text" : "decimal",
      "aria-describedby": hint.id,
    });
    box.addEventListener("input", () => act.type(given.name, box.value));
    box.addEventListener("focus", () => box.select());
    box.addEventListener("keydown", (event) => {
      const by = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
      if (!by || event.altKey || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      act.nudge(given.name, by);
    });
  }
  const held = make("div", { class: "gs-held" }, box);
  const row = make("div", { class: "gs-row" }, make("div", { class: "gs-box" }, label, held));
  let unit = null;
  if (given.units.length > 1) {
    unit = make("button", { type: "button", class: "gs-unit" });
    unit.append(...given.units.map((each) => make("span", { "data-unit": each }, each)));
    unit.addEventListener("click", () => act.turn(given.name));
    row.append(unit);
  } else if (given.units[0]) {
    held.append(make("span", { class: "gs-fixed" }, given.units[0]));
    held.classList.add("gs-has-fixed");
  }
  if (!given.options.length) {
    row.prepend(nudger(given, "less", "−", -1, act));
    row.append(nudger(given, "more", "+", 1, act));
  }
  const whole = make("div", { class: "gs-field" }, row, hint);
  return { whole, box, unit, hint, given };
}

function nudger(given, word, sign, by, act) {
  const button = make(
    "button",
    { type: "button", class: "gs-nudge", tabindex: "-1", "aria-label": `${given.label}: ${word}` },
    sign,
  );
  let wait = 0;
  let again = 0;
  let held = false;
  const stop = () => {
    clearTimeout(wait);
    clearInterval(again);
  };
  button.addEventListener("pointerdown", () => {
    held = false;
    wait = setTimeout(() => {
      held = true;
      again = setInterval(() => act.nudge(given.name, by), 90);
    }, 450);
  });
  for (const end of ["pointerup", "pointerleave", "pointercancel"]) button.addEventListener(end, stop);
  button.addEventListener("click", () => {
    if (!held) act.nudge(given.name, by);
    held = false;
  });
  return button;
}

function fold(button, part) {
  const id = `gs${++views}-fold`;
  part.id = id;
  part.hidden = true;
  button.setAttribute("aria-controls", id);
  button.setAttribute("aria-expanded", "false");
  button.addEventListener("click", () => {
    part.hidden = !part.hidden;
    button.setAttribute("aria-expanded", String(!part.hidden));
  });
}

// but dBu stays dBu
function capital(text) {
  return /^[a-z][A-Z]/.test(text) ? text : text.charAt(0).toUpperCase() + text.slice(1);
}

// The list of all calculators, by moment of the job, cut down by a few typed letters.
function chooser(all, key, pick) {
  const open = make("button", { type: "button", class: "gs-choose", "aria-expanded": "false" }, capital(key), " \u25be");
  const box = make("input", {
    type: "search",
    class: "gs-search",
    placeholder: "type a few letters",
    "aria-label": "Find a calculator",
    autocomplete: "off",
    spellcheck: "false",
  });
  const list = make("div", { class: "gs-list" });
  const part = make("div", { class: "gs-part gs-chooser" }, box, list);
  part.hidden = true;

  function fill() {
    const typed = box.value.toLowerCase().replaceAll("-", " ").split(/\s+/).filter(Boolean);
    const fits = (words) => typed.every((start) => words.some((word) => word.startsWith(start)));
    list.replaceChildren();
    for (const [moment, members] of all) {
      const found = members.filter((each) => fits(each.words));
      if (!found.length) continue;
      list.append(make("p", { class: "gs-moment" }, capital(moment)));
      for (const each of found) {
        const one = make("button", { type: "button", "data-key": each.key, "data-lm-suppress-shortcuts": "true" }, capital(each.key));
        one.addEventListener("click", () => (each.key === key ? turn(false) : pick(each.key)));
        list.append(one);
      }
    }
    if (!list.children.length) list.append(make("p", {}, "Nothing begins like that."));
  }

  function turn(shown) {
    part.hidden = !shown;
    part.parentElement.classList.toggle("gs-choosing", shown);
    open.setAttribute("aria-expanded", String(shown));
    (shown ? box : open).focus();
    if (shown) box.select();
  }

  open.addEventListener("click", () => turn(part.hidden));
  box.addEventListener("input", fill);
  part.addEventListener("keydown", (event) => {
    if (event.key === "Escape") turn(false);
    if (event.key === "Enter" && event.target === box) list.querySelector("button")?.click();
  });
  fill();
  return [open, part];
}

function render({ model, el }) {
  let end = build(model, el);
  const again = () => {
    end();
    el.replaceChildren();
    end = build(model, el, true);
  };
  model.on("change:sum", again);
  return () => {
    model.off("change:sum", again);
    end();
  };
}

function build(model, el, chosen = false) {
  const sum = model.get("sum");
  const me = `${Date.now().toString(36)}-${++views}`;
  const units = {};
  // what the hand did since the last question, by field
  const texts = {};
  const turns = {};
  const nudges = {};
  let light = kept("gigsums light") === true;
  let sent = 0;
  let waiting = false;
  let stale = false;
  let timer = 0;
  let spoken = 0;
  let stillShown = "";

  const act = {
    ask(extra = {}) {
      if (waiting) {
        stale = true;
        return;
      }
      waiting = true;
      stale = false;
      const did = { texts: { ...texts }, units: { ...turns }, nudges: { ...nudges } };
      for (const done of [texts, turns, nudges]) for (const name of Object.keys(done)) delete done[name];
      model.set("asked", { by: `${me} ${++sent}`, ...did, light, ...extra });
      model.save_changes();
      clearTimeout(timer);
      timer = setTimeout(() => {
        waiting = false;
        for (const each of fields) texts[each.given.name] = each.box.value;
        setOld(true, model.get("lost") || "No answer from the kernel. Run the cell again.");
      }, IDLE_MS);
    },
    type(name, text) {
      texts[name] = text;
      act.ask();
    },
    nudge(name, by) {
      nudges[name] = (nudges[name] || 0) + by;
      act.ask();
    },
    turn(name) {
      const offered = sum.named[name];
      units[name] = offered[(offered.indexOf(units[name]) + 1) % offered.length];
      turns[name] = units[name];
      act.ask();
    },
  };

  const fields = sum.inputs.map((given) => fieldOf(sum, given, `gs-${me}-${given.name}`, act));
  const label = make("span", { class: "gs-label" });
  const number = make("span", { class: "gs-number" });
  const unitOf = make("span", { class: "gs-of" });
  const resultUnit = make("button", { type: "button", class: "gs-unit" });
  if (sum.turns) {
    resultUnit.append(...sum.named[sum.answer].map((each) => make("span", { "data-unit": each }, each)));
    resultUnit.addEventListener("click", () => act.turn(sum.answer));
  }
  const old = make("span", { class: "gs-old" }, "old answer");
  const line = make("span", { class: "gs-line", tabindex: "0", "aria-label": "Answer as one line" });
  const copy = make("button", { type: "button", class: "gs-button" }, "Copy");
  const trouble = make("p", { class: "gs-trouble" });
  const rest = make("p", { class: "gs-rest" });
  const notes = make("p", { class: "gs-notes" });
  const picture = make("div", { class: "gs-picture", role: "img" });
  const aloud = make("div", { class: "gs-aloud", role: "status", "aria-live": "polite" });
  const shade = make("button", { type: "button", class: "gs-button gs-shade" });
  const behind = fields.filter((each) => each.given.behind);
  const more = make("button", { type: "button", class: "gs-fold" }, `More (${behind.length})`);
  const moreOf = make("div", { class: "gs-part" }, ...behind.map((each) => each.whole));
  const why = make("button", { type: "button", class: "gs-fold" }, "Usual slips and sources");
  const whyOf = make("div", { class: "gs-part gs-why" });
  fold(more, moreOf);
  fold(why, whyOf);

  const root = make(
    "section",
    { class: sum.picture ? "gs" : "gs gs-plain", "aria-label": sum.key },
    ...(sum.all ? chooser(sum.all, sum.key, (key) => act.ask({ pick: key })) : []),
    make("header", {}, make(el.dataset.heading || "h3", { class: "gs-question" }, sum.question), shade),
    make(
      "div",
      { class: "gs-columns" },
      make(
        "div",
        { class: "gs-work" },
        make(
          "div",
          { class: "gs-big" },
          number,
          sum.turns ? resultUnit : unitOf,
          make("span", { class: "gs-above" }, old, label),
        ),
        make("div", { class: "gs-say" }, line, copy),
        trouble,
        make("div", { class: "gs-fields" }, ...fields.filter((each) => !each.given.behind).map((each) => each.whole)),
        ...(behind.length ? [more, moreOf] : []),
      ),
      make("div", { class: "gs-shown" }, ...(sum.picture ? [picture] : []), rest, notes),
    ),
    make("p", { class: "gs-caution" }, sum.caution),
    why,
    whyOf,
    aloud,
  );

  function setOld(isOld, text) {
    root.classList.toggle("gs-is-old", isOld);
    old.hidden = !isOld;
    copy.disabled = isOld;
    trouble.textContent = text;
    trouble.hidden = !text;
  }

  function paint() {
    const state = model.get("state");
    const answer = state.answer;
    for (const each of fields) {
      const now = state.fields[each.given.name];
      const name = each.given.name;
      if (!(name in texts) && each.box.value !== now.text) each.box.value = now.text;
      if (!(name in turns)) units[name] = now.unit;
      each.hint.textContent = now.wrong || now.range;
      each.whole.classList.toggle("gs-is-wrong", Boolean(now.wrong));
      each.box.setAttribute("aria-invalid", String(Boolean(now.wrong)));
      if (each.unit) turned(each.unit, each.given.label, now.unit);
    }
    if (!(sum.answer in turns)) units[sum.answer] = state.unit;
    label.textContent = answer.label;
    number.textContent = answer.number;
    unitOf.textContent = answer.unit;
    if (sum.turns) turned(resultUnit, answer.label, state.unit);
    line.textContent = answer.line;
    setOld(state.old, state.trouble);
    rest.replaceChildren(...answer.rest.map(([name, value]) => make("span", {}, `${name} `, make("b", {}, value))));
    notes.textContent = answer.notes.join(" ");
    notes.hidden = !answer.notes.length;
    whyOf.replaceChildren(
      ...answer.slips.map(([name, value, hint]) => make("p", {}, make("b", {}, value), ` ${name}. ${hint}`)),
      ...sum.sources.map((each) => make("p", { class: "gs-source" }, each)),
    );
    if (sum.picture) drawn(state);
    clearTimeout(spoken);
    spoken = setTimeout(() => {
      aloud.textContent = state.said;
    }, 700);
  }

  function turned(button, name, unit) {
    for (const each of button.children) each.classList.toggle("gs-on", each.dataset.unit === unit);
    button.setAttribute("aria-label", `${name}: in ${unit}, change`);
  }

  // Two layers of SVG: what seldom changes is put into the page only when it has.
  function drawn(state) {
    const still = model.get("still");
    if (state.light !== light || !still) return;
    if (still !== stillShown) {
      stillShown = still;
      picture.innerHTML = `<svg viewBox="0 0 ${state.size.join(" ")}" aria-hidden="true"><g>${still}</g><g></g></svg>`;
    }
    picture.firstChild.lastChild.innerHTML = state.moved;
    picture.setAttribute("aria-label", state.words);
  }

  function shaded() {
    root.dataset.light = String(light);
    shade.textContent = light ? "Dark" : "Light";
    shade.setAttribute("aria-label", light ? "Change to dark" : "Change to light");
  }

  function arrived() {
    const state = model.get("state");
    if (state.key !== sum.key) return;
    const mine = state.by === `${me} ${sent}`;
    if (waiting && !mine) return;
    clearTimeout(timer);
    waiting = false;
    paint();
    if (stale) {
      act.ask();
    } else if (mine && !state.old) {
      const now = Object.entries(state.fields);
      keep(`gigsums ${sum.key}`, {
        texts: Object.fromEntries(now.map(([name, each]) => [name, each.text])),
        units: { ...units },
      });
    }
  }

  function shadeAll(event) {
    if (event.detail === light) return;
    light = event.detail;
    shaded();
    if (sum.picture) act.ask();
  }

  shade.addEventListener("click", () => {
    keep("gigsums light", !light);
    window.dispatchEvent(new CustomEvent("gigsums-light", { detail: !light }));
  });
  copy.addEventListener("click", () => copied(line, copy));
  line.addEventListener("focus", () => getSelection().selectAllChildren(line));
  window.addEventListener("gigsums-light", shadeAll);
  model.on("change:state", arrived);

  // or a letter typed on a button would be a command of the notebook around it: x cuts the cell
  for (const each of root.querySelectorAll("button, input, select, [tabindex]")) {
    each.dataset.lmSuppressShortcuts = "true";
  }
  shaded();
  paint();
  el.append(root);
  const saved = kept(`gigsums ${sum.key}`);
  const last = kept("gigsums last");
  if (chosen) {
    root.querySelector(".gs-choose")?.focus();
    keep("gigsums last", sum.key);
  }
  if (sum.all && !chosen && last && last !== sum.key && model.get("state").fresh) act.ask({ pick: last });
  else if (saved && model.get("state").fresh) act.ask({ restore: saved });
  else if (light && sum.picture) act.ask();

  return () => {
    clearTimeout(timer);
    clearTimeout(spoken);
    window.removeEventListener("gigsums-light", shadeAll);
    model.off("change:state", arrived);
  };
}

async function copied(line, button) {
  let done = false;
  try {
    await navigator.clipboard.writeText(line.textContent);
    done = true;
  } catch {
    // a page that is not on this machine may bar the clipboard: the line is selected instead
    line.focus();
    getSelection().selectAllChildren(line);
    try {
      done = document.execCommand("copy");
    } catch {
      done = false;
    }
  }
  button.textContent = done ? "Copied" : "Selected";
  setTimeout(() => {
    button.textContent = "Copy";
  }, 1500);
}

export default { render };
