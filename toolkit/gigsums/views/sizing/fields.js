// The fields of the sizing panel, each for one key of the gig file. Stands after shared.js in one module.

// A field for one key of the file. `show` fills it; what is being typed stays.
function fieldOf(item, id, send, namesOf) {
  const hint = make("p", { class: "gs-hint", id: `${id}-hint` });
  const whole = make("div", { class: `gs-field gs-is-${item.kind}` });
  let box = null;
  let show;
  if (item.kind === "yes") {
    box = make("input", { id, type: "checkbox", "aria-describedby": hint.id });
    box.addEventListener("change", () => send(box.checked));
    whole.append(make("label", { class: "gs-tick" }, box, make("span", {}, item.label)));
    show = (value) => {
      box.checked = (value || item.usual) === "yes";
    };
  } else if (item.kind === "names") {
    box = make("fieldset", { id, "aria-describedby": hint.id }, make("legend", {}, item.label));
    const ticks = new Map();
    whole.append(box);
    const chosen = () => [...ticks].filter(([, tick]) => tick.firstChild.checked).map(([name]) => name);
    show = (value) => {
      const on = Array.isArray(value) ? value : value ? [value] : item.usual || [];
      const offered = [...new Set([...item.options.flatMap((each) => namesOf(each) ?? [each]), ...on])];
      for (const name of offered) {
        if (ticks.has(name)) continue;
        const tick = make("input", { type: "checkbox" });
        tick.addEventListener("change", () => send(chosen()));
        ticks.set(name, make("label", { class: "gs-tick" }, tick, make("span", {}, name)));
      }
      for (const name of [...ticks.keys()]) if (!offered.includes(name)) ticks.delete(name);
      for (const [name, tick] of ticks) tick.firstChild.checked = on.includes(name);
      arrange(box, [box.firstChild, ...ticks.values()]);
      whole.hidden = !offered.length;
    };
  } else if (item.options.length || item.kind === "maybe") {
    box = make("select", { id, "aria-describedby": hint.id });
    box.addEventListener("change", () => send(box.value));
    whole.append(make("div", { class: "gs-box" }, make("label", { for: id }, item.label), box));
    const named = item.kind === "maybe" ? ["yes", "no"] : item.options;
    const open = item.kind === "maybe" || !item.usual;
    show = (value) => {
      const now = value || (open ? "" : item.usual);
      const offered = [...(open ? [""] : []), ...named, ...(named.includes(now) || !now ? [] : [now])];
      if (box.options.length !== offered.length || box.lastChild?.value !== offered.at(-1)) {
        const word = (each) => each || (item.usual ? `usual: ${item.usual}` : "not said");
        box.replaceChildren(...offered.map((each) => make("option", { value: each }, word(each))));
      }
      box.value = now;
    };
  } else {
    box = make("input", { id, type: "text", autocomplete: "off", spellcheck: "false", "aria-describedby": hint.id });
    let typing = false;
    const commit = () => {
      if (typing) send(box.value);
      typing = false;
    };
    box.addEventListener("input", () => {
      typing = true;
    });
    box.addEventListener("change", commit);
    box.addEventListener("keydown", (event) => event.key === "Enter" && commit());
    whole.append(make("div", { class: "gs-box" }, make("label", { for: id }, item.label), box));
    if (item.usual !== "" && item.usual != null) box.placeholder = item.usual;
    show = (value) => {
      if (!typing || !has(box)) box.value = value ?? "";
    };
  }
  whole.append(hint);
  return {
    whole,
    box,
    show(value, error) {
      show(value);
      hint.textContent = error ?? "";
      whole.classList.toggle("gs-is-wrong", Boolean(error));
      box.setAttribute("aria-invalid", String(Boolean(error)));
    },
  };
}
