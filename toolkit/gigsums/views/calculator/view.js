// Draws any calculator from its declaration. Works no sum: what is typed goes to Python, words come back.

const IDLE_MS = 3000;

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
  let sent = 0;
  let waiting = false;
  let stale = false;
  let timer = 0;
  const shade = shading(() => sum.picture && act.ask());
  const aloud = speaker();

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
      model.set("asked", { by: `${me} ${++sent}`, ...did, light: shade.light, ...extra });
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
  const resultUnit = sum.turns ? unitsOf(sum.named[sum.answer]) : null;
  resultUnit?.addEventListener("click", () => act.turn(sum.answer));
  const old = make("span", { class: "gs-old" }, "old answer");
  const line = make("span", { class: "gs-line", tabindex: "0", role: "group", "aria-label": "Answer as one line", ...OWN_KEYS });
  const copy = button("Copy", { class: "gs-button" });
  const trouble = make("p", { class: "gs-trouble" });
  const rest = make("p", { class: "gs-rest" });
  const notes = make("p", { class: "gs-notes" });
  const picture = drawing();
  const behind = fields.filter((each) => each.given.behind);
  const more = button(`More (${behind.length})`, { class: "gs-fold" });
  const moreOf = make("div", { class: "gs-part" }, ...behind.map((each) => each.whole));
  const why = button("Usual slips and sources", { class: "gs-fold" });
  const whyOf = make("div", { class: "gs-part gs-why" });
  fold(more, moreOf);
  fold(why, whyOf);

  const root = make(
    "section",
    { class: sum.picture ? "gs" : "gs gs-plain", "aria-label": sum.key },
    ...(sum.all ? chooser(sum.all, sum.key, (key) => act.ask({ pick: key })) : []),
    make("header", {}, make(el.dataset.heading || "h3", { class: "gs-question" }, sum.question), shade.node),
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
      make("div", { class: "gs-shown" }, ...(sum.picture ? [picture.node] : []), rest, notes),
    ),
    make("p", { class: "gs-caution" }, sum.caution),
    why,
    whyOf,
    aloud.node,
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
      if (each.unit) turnUnits(each.unit, each.given.label, now.unit);
    }
    if (!(sum.answer in turns)) units[sum.answer] = state.unit;
    label.textContent = answer.label;
    number.textContent = answer.number;
    unitOf.textContent = answer.unit;
    if (sum.turns) turnUnits(resultUnit, answer.label, state.unit);
    line.textContent = answer.line;
    setOld(state.old, state.trouble);
    rest.replaceChildren(...answer.rest.map(([name, value]) => make("span", {}, `${name} `, make("b", {}, value))));
    notes.textContent = answer.notes.join(" ");
    notes.hidden = !answer.notes.length;
    whyOf.replaceChildren(
      ...answer.slips.map(([name, value, hint]) => make("p", {}, make("b", {}, value), ` ${name}. ${hint}`)),
      ...sum.sources.map((each) => make("p", { class: "gs-source" }, each)),
    );
    const still = model.get("still");
    if (sum.picture && still && state.light === shade.light) picture.show(state, still);
    aloud.say(state.said);
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

  copy.addEventListener("click", () => copied(line, copy));
  line.addEventListener("focus", () => getSelection().selectAllChildren(line));
  model.on("change:state", arrived);

  shade.of(root);
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
  else if (shade.light && sum.picture) act.ask();

  return () => {
    clearTimeout(timer);
    shade.end();
    aloud.end();
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
