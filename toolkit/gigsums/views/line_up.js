// Shows a line-up. Counts nothing: a move goes to Python, words come back. Stands after shared.js in one module.

const IDLE_MS = 3000;
const MANY = 10; // fields beyond this stand two in a row, so that the answer stays in sight beside them

function fieldOf(given, id, ask) {
  const box = make("select", { id });
  const label = make("label", { for: id }, given.label);
  box.addEventListener("change", () => ask({ what: given.name, to: box.value }));
  const whole = make("div", { class: "gs-box" }, label, make("div", { class: "gs-held" }, box));
  return { whole, box, offered: "" };
}

function render({ model, el }) {
  const me = `${Date.now().toString(36)}-${++views}`;
  const about = model.get("about");
  const moves = [];
  let sent = 0;
  let waiting = false;
  let timer = 0;
  const shade = shading(() => {});
  const aloud = speaker();

  function ask(move) {
    moves.push(move);
    if (!waiting) send();
  }

  // one at a time: two on the way at once may be answered in either order
  function send() {
    waiting = true;
    timer = setTimeout(() => {
      waiting = false;
      moves.length = 0;
      say("No answer from the kernel. Run the cell again.");
    }, IDLE_MS);
    model.send({ ...moves.shift(), by: `${me} ${++sent}` });
  }

  function arrived() {
    if (model.get("state").by === `${me} ${sent}`) {
      clearTimeout(timer);
      waiting = false;
      if (moves.length) send();
    }
    if (!waiting) paint();
  }

  const fields = new Map();
  for (const given of model.get("state").fields) {
    fields.set(given.name, fieldOf(given, `gs-${me}-${fields.size}`, ask));
  }
  const back = button("Back to what was asked for", { class: "gs-fold" });
  const number = make("span", { class: "gs-number" });
  const unit = make("span", { class: "gs-of" });
  const takes = make("p", { class: "gs-rest" });
  const verdict = make("p", { class: "gs-verdict" });
  const trouble = make("p", { class: "gs-trouble" });
  const caption = make("caption");
  const body = make("tbody");
  const because = make("ul", { class: "gs-because" });
  const head = make("tr", {}, ...["", "need", "have", "left", ""].map((word) => make("th", { scope: "col" }, word)));

  const root = make(
    "section",
    { class: "gs", "aria-label": about.title },
    make("header", {}, make("h3", { class: "gs-question" }, about.title), shade.node),
    make(
      "div",
      { class: "gs-columns" },
      make(
        "div",
        { class: "gs-work" },
        make("div", { class: `gs-fields gs-players${fields.size > MANY ? " gs-many" : ""}` }, ...[...fields.values()].map((each) => each.whole)),
        back,
      ),
      make(
        "div",
        { class: "gs-shown" },
        make("div", { class: "gs-count" }, number, unit),
        takes,
        verdict,
        trouble,
        make("table", { class: "gs-ledgers" }, caption, make("thead", {}, head), body),
        because,
      ),
    ),
    make("p", { class: "gs-caution" }, about.caution),
    aloud.node,
  );

  function say(text) {
    trouble.textContent = text;
    trouble.hidden = !text;
  }

  function paint() {
    const state = model.get("state");
    for (const given of state.fields) {
      const { box, offered } = fields.get(given.name);
      if (offered !== given.options.join("\n")) {
        box.replaceChildren(...given.options.map((each) => make("option", { value: each }, each)));
        fields.get(given.name).offered = given.options.join("\n");
      }
      box.value = given.value;
    }
    number.textContent = state.number;
    unit.textContent = state.unit;
    takes.replaceChildren(
      ...state.takes.map((each) => make("span", {}, `${each.label} `, make("b", {}, String(each.count)))),
    );
    verdict.textContent = state.verdict;
    caption.textContent = state.caption;
    body.replaceChildren(
      ...state.rows.map(([name, ...cells]) =>
        make(
          "tr",
          { class: cells[3] === "short" || cells[3] === "bring more" ? "gs-short" : "" },
          make("th", { scope: "row" }, name),
          ...cells.map((each) => make("td", {}, each)),
        ),
      ),
    );
    because.replaceChildren(...state.why.map((each) => make("li", {}, each)));
    say(state.trouble);
    aloud.say(state.trouble || state.line);
  }

  back.addEventListener("click", () => ask({ back: true }));
  model.on("change:state", arrived);

  shade.of(root);
  paint();
  el.append(root);

  return () => {
    clearTimeout(timer);
    shade.end();
    aloud.end();
    model.off("change:state", arrived);
  };
}

export default { render };
