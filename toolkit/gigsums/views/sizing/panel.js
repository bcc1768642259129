// Shows a gig being put together and what a desk carries of it. Counts nothing: edits go to Python, words come back.

const IDLE_MS = 15000;
const MANY = 10; // choices beyond this stand two in a row, so that the answer stays in sight beside them

// Sends what a hand asks, one at a time: two on the way at once may be answered in either order.
function asking(model, { more = () => ({}), lost, arrived }) {
  const me = `${Date.now().toString(36)}-${++views}`;
  const queue = [];
  let sent = 0;
  let waiting = false;
  let timer = 0;

  function send() {
    waiting = true;
    timer = setTimeout(() => {
      waiting = false;
      queue.length = 0;
      lost(model.get("lost") || "No answer from the kernel. Run the cell again.");
    }, IDLE_MS);
    model.set("asked", { ...queue.shift(), ...more(), by: `${me} ${++sent}` });
    model.save_changes();
  }

  function heard() {
    const mine = model.get("state").by === `${me} ${sent}`;
    if (mine) {
      clearTimeout(timer);
      waiting = false;
      if (queue.length) send();
    }
    arrived(mine, waiting);
  }

  model.on("change:state", heard);
  return {
    idOf: (key) => `gs-${me}-${key.replaceAll(/[^a-z0-9]+/gi, "-")}`,
    ask(what) {
      queue.push(what);
      if (!waiting) send();
    },
    end() {
      clearTimeout(timer);
      model.off("change:state", heard);
    },
  };
}

// A few choices of a gig, and the ledgers that they move.
function renderChoices({ model, el }) {
  const state = () => model.get("state");
  const shade = shading(() => {});
  const aloud = speaker();
  const { ask, idOf, end } = asking(model, { lost: say, arrived: (_, waiting) => waiting || paint() });
  const title = make("h3", { class: "gs-question" });
  const boxes = state().fields.map(([name, label]) => {
    const box = make("select", { id: idOf(name) });
    box.addEventListener("change", () => ask({ do: "move", what: name, to: box.value }));
    const whole = make("div", { class: "gs-box" }, make("label", { for: box.id }, label), make("div", { class: "gs-held" }, box));
    return { box, whole, offered: "" };
  });
  const back = button("Back to what was asked for", { class: "gs-fold" });
  const number = make("span", { class: "gs-number" });
  const unit = make("span", { class: "gs-of" });
  const takes = make("p", { class: "gs-rest" });
  const verdict = make("p", { class: "gs-verdict" });
  const trouble = make("p", { class: "gs-trouble" });
  const caption = make("p", { class: "gs-quiet" });
  const ledgers = ledgerBars(idOf("why"));
  const because = make("ul", { class: "gs-because" });
  const root = make(
    "section",
    { class: "gs gs-size gs-choices" },
    make("header", {}, title, shade.node),
    make(
      "div",
      { class: "gs-columns" },
      make("div", {}, make("div", { class: `gs-fields gs-players${boxes.length > MANY ? " gs-many" : ""}` }, ...boxes.map((each) => each.whole)), back),
      make("div", {}, make("div", { class: "gs-big" }, number, unit), takes, verdict, trouble, caption, ledgers.node, ledgers.reasons, because),
    ),
    make("p", { class: "gs-caution" }, model.get("about").caution),
    aloud.node,
  );

  function say(text) {
    trouble.textContent = text;
    trouble.hidden = !text;
  }

  function paint() {
    const now = state();
    title.textContent = now.title;
    root.setAttribute("aria-label", now.title);
    now.fields.forEach(([, , value, options], nth) => {
      const each = boxes[nth];
      if (each.offered !== options.join("\n")) {
        each.box.replaceChildren(...options.map((word) => make("option", { value: word }, word)));
        each.offered = options.join("\n");
      }
      each.box.value = value;
    });
    number.textContent = now.number;
    unit.textContent = now.unit;
    takes.replaceChildren(...now.takes.map(([label, count]) => make("span", {}, `${label} `, make("b", {}, String(count)))));
    verdict.textContent = now.verdict;
    caption.textContent = now.caption;
    ledgers.show(now.ledgers);
    because.replaceChildren(...now.why.map((each) => make("li", {}, each)));
    say(now.wrong);
    aloud.say(now.wrong || now.said);
  }

  back.addEventListener("click", () => ask({ do: "back" }));
  shade.of(root);
  paint();
  el.append(root);
  return () => {
    shade.end();
    aloud.end();
    end();
  };
}

function render({ model, el }) {
  if (model.get("about").choices) return renderChoices({ model, el });
  const about = model.get("about");
  let focusAfter = null;
  let fileShown = "";
  const state = () => model.get("state");
  const shade = shading(() => ask({ do: "shade" }));
  const { ask: send, idOf, end } = asking(model, {
    more: () => ({ light: shade.light }),
    lost: (words) => tell(words, ""),
    arrived: paint,
  });
  const ask = (what) => send({ shape: state().shape, ...what });

  const namesOf = (which) => state().names[which];

  const heading = (below) => `h${Number((el.dataset.heading || "h3").slice(1)) + below}`;
  const title = make(heading(0), { class: "gs-question" });
  const mark = make("span", { class: "gs-mark" });
  const undo = button("Undo");
  const redo = button("Redo");
  const fileHead = button("File", { class: "gs-file-head" });
  const told = make("p", { class: "gs-told", role: "status" });
  const replace = button("Replace it", { class: "gs-replace" });
  const old = make("p", { class: "gs-old" });
  const verdict = make("p", { class: "gs-verdict" });
  const because = make("p", { class: "gs-because" });
  const trouble = make("p", { class: "gs-trouble" });
  const ledgers = ledgerBars(idOf("why"));
  const idle = make("p", { class: "gs-idle" });
  const changes = make("div", { class: "gs-changes" });
  const cares = make("div", { class: "gs-cares" });
  const picture = drawing();
  const aloud = speaker();

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
  fold(fileHead, file);

  const left = (list) => {
    focusAfter = list;
  };
  const edit = editor({ ask, namesOf, idOf, left, heading });
  const lists = about.lists.map((group) => ({ group, part: edit.listOf(group, [group.key]) }));
  const tables = about.tables.map((group) => ({ group, part: edit.tableOf(group) }));
  const talkback = fieldOf(about.talkback, idOf("talkback"), (to) => ask({ do: "change", path: ["talkback"], to }), namesOf);

  const root = make(
    "section",
    { class: "gs gs-size", "aria-label": "Size a gig" },
    make("header", {}, title, mark, shade.node),
    make("div", { class: "gs-tools" }, undo, redo, fileHead),
    file,
    make("div", { class: "gs-said" }, told, replace),
    make(
      "div",
      { class: "gs-areas" },
      make("div", { class: "gs-answer" }, boxed("Desk", desk), old, verdict, because, trouble, ledgers.node, ledgers.reasons, idle),
      make(
        "div",
        { class: "gs-edit" },
        ...lists.map((each) => each.part.node),
        make(heading(1), { class: "gs-head" }, "Evening, place and people"),
        talkback.whole,
        ...tables.map((each) => each.part.node),
      ),
      make("div", { class: "gs-after" }, changes, picture.node, cares),
    ),
    make("p", { class: "gs-caution" }, about.caution),
    aloud.node,
  );

  function tell(wrong, note) {
    told.textContent = wrong || note;
    told.classList.toggle("gs-trouble", Boolean(wrong));
    told.hidden = !told.textContent;
  }

  function listed(into, said, lines) {
    into.hidden = !lines.length;
    into.replaceChildren(make(heading(1), { class: "gs-head" }, said), make("ul", {}, ...lines.map((each) => make("li", {}, each))));
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

  function paint(mine) {
    const now = state();
    title.textContent = now.title;
    const where = now.file ? ` in ${now.file}` : "";
    mark.textContent = now.unsaved ? `\u25cf not saved${where}` : now.file ? `saved${where}` : "";
    mark.classList.toggle("gs-unsaved", now.unsaved);
    undo.disabled = !now.steps[0];
    redo.disabled = !now.steps[1];
    tell(now.wrong || (now.changed ? `${now.file} has been changed on disk since it was opened.` : ""), now.note);
    replace.hidden = now.ask == null;
    root.classList.toggle("gs-is-old", now.old);
    old.textContent = now.old && now.ledgers.length ? "Old answer: the gig as it stands cannot be counted." : "";
    old.hidden = !old.textContent;
    verdict.textContent = now.verdict;
    because.textContent = now.because;
    because.hidden = !now.because;
    trouble.textContent = now.trouble;
    trouble.hidden = !now.trouble;
    ledgers.show(now.ledgers);
    idle.textContent = [
      now.ledgers.some((each) => each.spare != null) ? "The mark on a bar is where the spare begins." : "",
      now.idle ? `Not asked for: ${now.idle}.` : "",
    ].join(" ");
    listed(changes, "Least that makes it fit", now.changes);
    listed(cares, now.changes.length ? "Then take care" : "Take care", now.cares);
    const still = model.get("still");
    picture.node.hidden = !still;
    if (still && now.light === shade.light) picture.show(now, still);
    options(desk, [["Desks", now.desks], ...(now.desks.some(([key]) => key === now.desk) ? [] : [["Own", [[now.desk, now.desk_name]]]])], now.desk);
    options(gig, [["Begin", [["", "A new gig"]]], ...(now.files.length ? [["In this folder", now.files.map((each) => [each, each])]] : []), ["Copies to try", now.gigs.map((key) => [key, capital(key.replaceAll("_", " "))])]]);
    if (now.file !== fileShown) saveAs.value = fileShown = now.file;
    if (!has(text)) text.value = now.text;
    for (const { group, part } of lists) part.show(now.lists[group.key], "");
    for (const { group, part } of tables) part.show(now.tables[group.key]);
    talkback.show(now.talkback, "");
    if (mine && now.added) {
      const key = now.added.join(".");
      if (now.added.length === 2) edit.open(key);
      if (now.added.length === 2) edit.focus(`${key}.sources`);
    }
    if (mine && focusAfter) edit.focus(focusAfter);
    if (mine) focusAfter = null;
    aloud.say(now.wrong || now.said);
  }

  undo.addEventListener("click", () => ask({ do: "undo" }));
  redo.addEventListener("click", () => ask({ do: "redo" }));
  desk.addEventListener("change", () => ask({ do: "desk", name: desk.value }));
  deskFile.addEventListener("change", () => ask({ do: "desk", name: deskFile.value }));
  open.addEventListener("click", () => ask({ do: "open", name: gig.value }));
  save.addEventListener("click", () => ask({ do: "save", name: saveAs.value }));
  replace.addEventListener("click", () => ask({ do: "save", name: state().ask, replace: true }));
  text.addEventListener("change", () => ask({ do: "write", text: text.value }));

  shade.of(root);
  paint();
  el.append(root);
  if (shade.light) ask({ do: "shade" });

  return () => {
    shade.end();
    aloud.end();
    end();
  };
}

export default { render };
