// The ledgers as bars; a tap on one shows the reasons of its numbers. Stands before panel.js in one module.

function ledgerBars(id) {
  const node = make("div", { class: "gs-ledgers-of", role: "group", "aria-label": "Ledgers" });
  const reasons = make("ul", { class: "gs-why", id });
  const bars = new Map();
  let rows = [];
  let why = "";

  function barOf(label) {
    const [name, count, words] = ["gs-l-name", "gs-l-count", "gs-l-words"].map((each) => make("span", { class: each }));
    const [have, need, spare] = ["gs-have", "gs-need", "gs-spare"].map((each) => make("i", { class: each }));
    const bar = make("span", { class: "gs-bar", "aria-hidden": "true" }, have, need, spare);
    const node = button("", { class: "gs-ledger", "aria-controls": id });
    node.append(make("span", { class: "gs-l-head" }, name, " ", count), bar, words);
    node.addEventListener("click", () => {
      why = why === label ? "" : label;
      unfold();
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

  function unfold() {
    const row = rows.find((each) => each.label === why);
    for (const each of node.children) {
      const on = each.querySelector(".gs-l-name").textContent === why;
      each.setAttribute("aria-expanded", String(on));
    }
    reasons.hidden = !row;
    reasons.replaceChildren(...(row ? [make("li", {}, make("b", {}, row.label)), ...row.why.map((each) => make("li", {}, each))] : []));
  }

  return {
    node,
    reasons,
    show(now) {
      rows = now;
      const shown = rows.map((row) => {
        if (!bars.has(row.label)) bars.set(row.label, barOf(row.label));
        const bar = bars.get(row.label);
        bar.show(row);
        return bar.node;
      });
      arrange(node, shown);
      unfold();
    },
  };
}
