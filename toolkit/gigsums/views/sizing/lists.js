// What is edited: the lists of a gig file with their entries, and its tables. Stands before panel.js in one module.

// `ask` sends an edit, `namesOf` gives the names to choose from, `idOf` makes an id, and `left` is told of a list
// that an entry is taken out of; `heading` names a heading so many steps below the panel's own.
function editor({ ask, namesOf, idOf, left, heading }) {
  const entries = new Map();
  const lists = new Map();

  // the fields of an entry or a table: those in sight, then the others behind a line
  function fieldsOf(group, path) {
    const made = group.items.map((item) => {
      const place = [...path, ...item.path];
      const to = (value) => ask({ do: "change", path: place, to: value });
      return { item, ...fieldOf(item, idOf(place.join(".")), to, namesOf) };
    });
    const behind = made.filter((each) => each.item.behind);
    const near = make("div", { class: "gs-grid" }, ...made.filter((each) => !each.item.behind).map((each) => each.whole));
    const more = button(`More (${behind.length})`, { class: "gs-fold" });
    const far = make("div", { class: "gs-grid" }, ...behind.map((each) => each.whole));
    const turn = fold(more, far);
    const node = make("div", {}, near, ...(behind.length ? [more, far] : []));
    return {
      node,
      show(entry) {
        for (const { item, show } of made) show(entry.values[item.key], entry.errors[item.key]);
        if (behind.some((each) => entry.errors[each.item.key])) turn(true);
      },
    };
  }

  // one entry of a list: a line that unfolds to its fields
  function entryOf(group, path) {
    const name = make("b");
    const note = make("span", { class: "gs-note" });
    const head = button(name, { class: "gs-entry" });
    head.append(note);
    const fields = fieldsOf(group, path);
    const inner = group.inner ? listOf(group.inner, [...path, group.inner.key]) : null;
    const out = button(`Take out this ${group.one}`, { class: "gs-out" });
    const part = make("div", { class: "gs-part gs-open" }, ...(inner ? [inner.node] : []), fields.node, out);
    const turn = fold(head, part);
    const node = make("li", {}, head, part);
    out.addEventListener("click", () => {
      turn(false);
      left(path.slice(0, -1).join("."));
      ask({ do: "remove", path });
    });
    return {
      node,
      turn,
      show(entry, nth) {
        name.textContent = entry.title || `${group.one} ${nth + 1}`;
        note.textContent = entry.wrong ? `${entry.note}; needs mending` : entry.note;
        node.classList.toggle("gs-mend", entry.wrong);
        fields.show(entry);
        inner?.show(entry.inner, entry.title);
      },
    };
  }

  function listOf(group, path) {
    const list = make("ul", { class: "gs-entries" });
    const id = idOf(`add.${path.join(".")}`);
    const label = make("label", { for: id });
    const box = make("input", { id, type: "text", autocomplete: "off", spellcheck: "false", enterkeyhint: "done" });
    const add = button("Add");
    const key = path.join(".");
    const does = () => {
      if (group.named && !box.value.trim()) return box.focus();
      ask({ do: "add", path, ...(group.named ? { name: box.value } : {}) });
      box.value = "";
      return undefined;
    };
    add.addEventListener("click", does);
    box.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      does();
    });
    const field = make("div", { class: "gs-box" }, label, box);
    const row = make("div", { class: "gs-row gs-add" }, ...(group.named ? [field] : []), add);
    const title = path.length > 1 ? make(heading(2), { class: "gs-inner-head" }) : make(heading(1), { class: "gs-head" });
    const node = make("div", { class: "gs-list-of" }, title, list, row);
    lists.set(key, { focus: () => (group.named ? box : add).focus() });
    return {
      node,
      show(now, owner) {
        title.textContent = now.length ? `${group.title} (${now.length})` : group.title;
        label.textContent = owner ? `New ${group.one} of ${owner}` : `New ${group.one}`;
        add.setAttribute("aria-label", `Add: ${label.textContent}`);
        const shown = now.map((entry, nth) => {
          const at = `${key}.${nth}`;
          if (!entries.has(at)) entries.set(at, entryOf(group, [...path, nth]));
          const one = entries.get(at);
          one.show(entry, nth);
          return one.node;
        });
        arrange(list, shown);
      },
    };
  }

  function tableOf(group) {
    const head = button(make("b", {}, group.title), { class: "gs-entry" });
    const note = make("span", { class: "gs-note" });
    head.append(note);
    const fields = fieldsOf(group, [group.key]);
    const inner = group.inner ? listOf(group.inner, [group.key, group.inner.key]) : null;
    const part = make("div", { class: "gs-part gs-open" }, fields.node, ...(inner ? [inner.node] : []));
    const turn = fold(head, part);
    const node = make("div", {}, head, part);
    return {
      node,
      turn,
      show(entry) {
        note.textContent = entry.wrong ? `${entry.note}; needs mending` : entry.note;
        node.classList.toggle("gs-mend", entry.wrong);
        fields.show(entry);
        inner?.show(entry.inner, "");
      },
    };
  }

  return {
    listOf,
    tableOf,
    open: (key) => entries.get(key)?.turn(true),
    focus: (key) => lists.get(key)?.focus(),
  };
}
