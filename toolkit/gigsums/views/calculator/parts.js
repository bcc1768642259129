// The parts of a calculator's view: its fields, and the list of all calculators. Stands before view.js in one module.

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
    unit = unitsOf(given.units);
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

// Two units, of which one is in use: "Distance: in m change to ft". What is seen stands in what is heard.
function unitsOf(units) {
  const node = button("", { class: "gs-unit" });
  for (const each of units) {
    const heard = make("span", { class: "gs-heard" });
    node.append(make("span", { "data-unit": each }, heard, each));
  }
  return node;
}

function turnUnits(node, name, unit) {
  for (const [number, each] of [...node.children].entries()) {
    const on = each.dataset.unit === unit;
    each.classList.toggle("gs-on", on);
    each.firstChild.textContent = `${number ? " " : `${name}: `}${on ? "in" : "change to"} `;
  }
}

function nudger(given, word, sign, by, act) {
  const node = button(sign, { class: "gs-nudge", tabindex: "-1", "aria-label": `${given.label}: ${word}` });
  let wait = 0;
  let again = 0;
  let held = false;
  const stop = () => {
    clearTimeout(wait);
    clearInterval(again);
  };
  node.addEventListener("pointerdown", () => {
    held = false;
    wait = setTimeout(() => {
      held = true;
      again = setInterval(() => act.nudge(given.name, by), 90);
    }, 450);
  });
  for (const end of ["pointerup", "pointerleave", "pointercancel"]) node.addEventListener(end, stop);
  node.addEventListener("click", () => {
    if (!held) act.nudge(given.name, by);
    held = false;
  });
  return node;
}

// The list of all calculators, by moment of the job, cut down by a few typed letters.
function chooser(all, key, pick) {
  const open = button(`${capital(key)} \u25be`, { class: "gs-choose", "aria-expanded": "false" });
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
        const one = button(capital(each.key), { "data-key": each.key });
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
