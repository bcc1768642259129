// Shows a gig being put together and what a desk carries of it. Counts nothing: edits go to Python, words come back.

function render({ model, el }) {
  const me = `${Date.now().toString(36)}-${++views}`;
  const about = model.get("about");
  const queue = [];
  const parts = new Map();
  let light = lightKept();
  let sent = 0;
  let waiting = false;
  let timer = 0;
  let spoken = 0;
  let why = "";
  let focusAfter = null;
  let fileShown = "";

  const state = () => model.get("state");

  function ask(what) {
    queue.push({ shape: state().shape, ...what });
    if (!waiting) send();
  }

  // one at a time: two on the way at once may be answered in either order
  function send() {
    waiting = true;
    timer = setTimeout(() => {
      waiting = false;
      queue.length = 0;
      tell(model.get("lost") || "No answer from the kernel. Run the cell again.", "");
    }, IDLE_MS);
    model.set("asked", { ...queue.shift(), light, by: `${me} ${++sent}` });
    model.save_changes();
  }

  function arrived() {
    if (state().by === `${me} ${sent}`) {
      clearTimeout(timer);
      waiting = false;
      if (queue.length) send();
    }
    paint();
  }

  const once = (key, create) => {
    if (!parts.has(key)) parts.set(key, create());
    return parts.get(key);
  };
  const namesOf = (which) => state().names[which];
  const idOf = (key) => `gs-${me}-${key.replaceAll(/[^a-z0-9]+/gi, "-")}`;

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
      focusAfter = path.slice(0, -1);
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
    const title = make(path.length > 1 ? "h5" : "h4", {});
    const node = make("div", { class: "gs-list-of" }, title, list, row);
    parts.set(`list ${key}`, { focus: () => (group.named ? box : add).focus() });
    return {
      node,
      show(entries, owner) {
        title.textContent = entries.length ? `${group.title} (${entries.length})` : group.title;
        label.textContent = owner ? `New ${group.one} of ${owner}` : `New ${group.one}`;
        add.setAttribute("aria-label", `Add: ${label.textContent}`);
        const shown = entries.map((entry, nth) => {
          const one = once(`${key}.${nth}`, () => entryOf(group, [...path, nth]));
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

  const title = make(el.dataset.heading || "h3", { class: "gs-question" });
  const mark = make("span", { class: "gs-mark" });
  const shade = button("", { class: "gs-shade" });
  const undo = button("Undo");
  const redo = button("Redo");
  const fileHead = button("File", { class: "gs-file-head" });
  const told = make("p", { class: "gs-told", role: "status" });
  const replace = button("Replace it", { class: "gs-replace" });
  const old = make("p", { class: "gs-old" });
  const verdict = make("p", { class: "gs-verdict" });
  const because = make("p", { class: "gs-because" });
  const trouble = make("p", { class: "gs-trouble" });
  const ledgers = make("div", { class: "gs-ledgers-of", role: "group", "aria-label": "Ledgers" });
  const reasons = make("ul", { class: "gs-why", id: idOf("why") });
  const idle = make("p", { class: "gs-idle" });
  const changes = make("div", { class: "gs-changes" });
  const cares = make("div", { class: "gs-cares" });
  const picture = make("img", { class: "gs-picture", alt: "" });
  const aloud = make("div", { class: "gs-aloud", role: "status", "aria-live": "polite" });

  const desk = make("select", { id: idOf("desk") });
  const deskFile = make("input", { id: idOf("desk-file"), type: "text", autocomplete: "off", spellcheck: "false" });
  const gig = make("select", { id: idOf("gig") });
  const open = button("Open");
  const saveAs = make("input", { id: idOf("save-as"), type: "text", autocomplete: "off", spellcheck: "false" });
  const save = button("Save");
  const text = make("textarea", { id: idOf("text"), rows: 14, spellcheck: "false", wrap: "off" });
  const boxed = (label, box) => make("div", { class: "gs-box" }, make("label", { for: box.id }, label), box);
  const row = (...nodes) => make("div", { class: "gs-row" }, ...nodes);
  const file = make(
    "div",
    { class: "gs-part gs-file" },
    row(boxed("Gig", gig), open),
    ...(about.folder ? [row(boxed("Save as", saveAs), save), row(boxed("Own desk file", deskFile))] : []),
    make("p", { class: "gs-quiet" }, about.folder ? `Files are those of ${about.folder}.` : "No files of this computer are opened or saved here: copy the text."),
    boxed("The gig as text", text),
  );
  const turnFile = fold(fileHead, file);

  const lists = about.lists.map((group) => ({ group, part: listOf(group, [group.key]) }));
  const tables = about.tables.map((group) => ({ group, part: tableOf(group) }));
  const talkback = fieldOf(about.talkback, idOf("talkback"), (to) => ask({ do: "change", path: ["talkback"], to }), namesOf);

  const root = make(
    "section",
    { class: "gs gs-size", "aria-label": "Size a gig" },
    make("header", {}, title, mark, shade),
    make("div", { class: "gs-tools" }, undo, redo, fileHead),
    file,
    make("div", { class: "gs-said" }, told, replace),
    make(
      "div",
      { class: "gs-areas" },
      make("div", { class: "gs-answer" }, boxed("Desk", desk), old, verdict, because, trouble, ledgers, reasons, idle),
      make(
        "div",
        { class: "gs-edit" },
        ...lists.map((each) => each.part.node),
        make("h4", {}, "Evening, place and people"),
        talkback.whole,
        ...tables.map((each) => each.part.node),
      ),
      make("div", { class: "gs-after" }, changes, picture, cares),
    ),
    make("p", { class: "gs-caution" }, about.caution),
    aloud,
  );

  function tell(wrong, note) {
    told.textContent = wrong || note;
    told.classList.toggle("gs-trouble", Boolean(wrong));
    told.hidden = !told.textContent;
  }

  function ledgerOf(label) {
    const [name, count, words] = ["gs-l-name", "gs-l-count", "gs-l-words"].map((each) => make("span", { class: each }));
    const [have, need, spare] = ["gs-have", "gs-need", "gs-spare"].map((each) => make("i", { class: each }));
    const bar = make("span", { class: "gs-bar", "aria-hidden": "true" }, have, need, spare);
    const node = make(
      "button",
      { type: "button", class: "gs-ledger", "aria-controls": reasons.id },
      make("span", { class: "gs-l-head" }, name, " ", count),
      bar,
      words,
    );
    node.addEventListener("click", () => {
      why = why === label ? "" : label;
      paintWhy();
    });
    return {
      node,
      show(row) {
        name.textContent = row.label;
        count.textContent = row.count;
        words.textContent = row.words;
        node.dataset.state = row.state;
        have.style.width = `${100 * row.have}%`;
        need.style.width = `${100 * row.need}%`;
        need.style.setProperty("--over", row.need > row.have ? `${(100 * row.have) / row.need}%` : "100%");
        spare.hidden = row.spare == null;
        spare.style.left = `${100 * (row.spare ?? 0)}%`;
      },
    };
  }

  function paintWhy() {
    const row = state().ledgers.find((each) => each.label === why);
    for (const each of ledgers.children) {
      const on = each.querySelector(".gs-l-name").textContent === why;
      each.setAttribute("aria-expanded", String(on));
    }
    reasons.hidden = !row;
    reasons.replaceChildren(...(row ? [make("li", {}, make("b", {}, row.label)), ...row.why.map((each) => make("li", {}, each))] : []));
  }

  function listed(into, heading, lines) {
    into.hidden = !lines.length;
    into.replaceChildren(make("h4", {}, heading), make("ul", {}, ...lines.map((each) => make("li", {}, each))));
  }

  function options(box, groups, value) {
    const flat = JSON.stringify(groups);
    if (box.dataset.offered !== flat) {
      box.dataset.offered = flat;
      box.replaceChildren(
        ...groups.map(([label, members]) =>
          make("optgroup", { label }, ...members.map(([key, word]) => make("option", { value: key }, word))),
        ),
      );
    }
    if (value != null) box.value = value;
  }

  function paint() {
    const now = state();
    title.textContent = now.title;
    const where = now.file ? ` in ${now.file}` : "";
    mark.textContent = now.unsaved ? `\u25cf not saved${where}` : now.file ? `saved${where}` : "";
    mark.classList.toggle("gs-unsaved", now.unsaved);
    undo.disabled = !now.steps[0];
    redo.disabled = !now.steps[1];
    tell(now.wrong || (now.moved ? `${now.file} has been changed on disk since it was opened.` : ""), now.note);
    replace.hidden = now.ask == null;
    root.classList.toggle("gs-is-old", now.old);
    old.textContent = now.old && now.ledgers.length ? "Old answer: the gig as it stands cannot be counted." : "";
    old.hidden = !old.textContent;
    verdict.textContent = now.verdict;
    because.textContent = now.because;
    because.hidden = !now.because;
    trouble.textContent = now.trouble;
    trouble.hidden = !now.trouble;
    arrange(
      ledgers,
      now.ledgers.map((each) => {
        const one = once(`ledger ${each.label}`, () => ledgerOf(each.label));
        one.show(each);
        return one.node;
      }),
    );
    paintWhy();
    idle.textContent = [
      now.ledgers.some((each) => each.spare != null) ? "The mark on a bar is where the spare begins." : "",
      now.idle ? `Not asked for: ${now.idle}.` : "",
    ].join(" ");
    listed(changes, "Least that makes it fit", now.changes);
    listed(cares, now.changes.length ? "Then take care" : "Take care", now.cares);
    const drawn = model.get("picture");
    picture.hidden = !drawn;
    if (drawn && picture.src !== drawn) picture.src = drawn;
    picture.alt = now.words;
    options(desk, [["Desks", now.desks], ...(now.desks.some(([key]) => key === now.desk) ? [] : [["Own", [[now.desk, now.desk_name]]]])], now.desk);
    options(gig, [["Begin", [["", "A new gig"]]], ...(now.files.length ? [["In this folder", now.files.map((each) => [each, each])]] : []), ["Copies to try", now.gigs.map((key) => [key, capital(key)])]]);
    if (now.file !== fileShown) saveAs.value = fileShown = now.file;
    if (!has(text)) text.value = now.text;
    for (const { group, part } of lists) part.show(now.lists[group.key], "");
    for (const { group, part } of tables) part.show(now.tables[group.key]);
    talkback.show(now.talkback, "");
    const mine = now.by === `${me} ${sent}`;
    if (mine && now.added) {
      const key = now.added.join(".");
      if (now.added.length === 2) parts.get(key)?.turn(true);
      if (now.added.length === 2) parts.get(`list ${key}.sources`)?.focus();
    }
    if (mine && focusAfter) parts.get(`list ${focusAfter.join(".")}`)?.focus();
    if (mine) focusAfter = null;
    clearTimeout(spoken);
    spoken = setTimeout(() => {
      aloud.textContent = now.wrong || now.said;
    }, 700);
  }

  function capital(key) {
    const words = key.replaceAll("_", " ");
    return words.charAt(0).toUpperCase() + words.slice(1);
  }

  function shaded() {
    root.dataset.light = String(light);
    shade.textContent = light ? "Dark" : "Light";
    shade.setAttribute("aria-label", light ? "Change to dark" : "Change to light");
  }

  function shadeAll(event) {
    light = event.detail;
    shaded();
    ask({ do: "shade" });
  }

  shade.addEventListener("click", () => {
    try {
      localStorage.setItem("gigsums light", JSON.stringify(!light));
    } catch {
      // a browser that keeps nothing still shows
    }
    window.dispatchEvent(new CustomEvent("gigsums-light", { detail: !light }));
  });
  undo.addEventListener("click", () => ask({ do: "undo" }));
  redo.addEventListener("click", () => ask({ do: "redo" }));
  desk.addEventListener("change", () => ask({ do: "desk", name: desk.value }));
  deskFile.addEventListener("change", () => ask({ do: "desk", name: deskFile.value }));
  open.addEventListener("click", () => ask({ do: "open", name: gig.value }));
  save.addEventListener("click", () => ask({ do: "save", name: saveAs.value }));
  replace.addEventListener("click", () => ask({ do: "save", name: state().ask, replace: true }));
  text.addEventListener("change", () => ask({ do: "write", text: text.value }));
  window.addEventListener("gigsums-light", shadeAll);
  model.on("change:state", arrived);

  shaded();
  turnFile(false);
  paint();
  el.append(root);
  if (light) ask({ do: "shade" });

  return () => {
    clearTimeout(timer);
    clearTimeout(spoken);
    window.removeEventListener("gigsums-light", shadeAll);
    model.off("change:state", arrived);
  };
}

export default { render };
