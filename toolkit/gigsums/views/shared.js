// What the views share. Stands before each of them in one module, because a widget is one file.

let views = 0;
// JupyterLab takes keys as commands unless the element that has the focus itself says no: x would cut the cell
const OWN_KEYS = { "data-lm-suppress-shortcuts": "true" };
const SPOKEN_MS = 700;

function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  const own = ["button", "input", "select", "textarea"].includes(tag) ? OWN_KEYS : {};
  for (const [name, value] of Object.entries({ ...own, ...attributes })) {
    if (value !== false && value != null) node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children);
  return node;
}

function button(text, attributes = {}) {
  return make("button", { type: "button", ...attributes }, text);
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

// but dBu stays dBu
function capital(text) {
  return /^[a-z][A-Z]/.test(text) ? text : text.charAt(0).toUpperCase() + text.slice(1);
}

// Puts nodes into their order and moves none that is in its place: what has the focus keeps it.
function arrange(parent, nodes) {
  for (const old of [...parent.children]) if (!nodes.includes(old)) old.remove();
  nodes.forEach((node, at) => {
    if (parent.children[at] !== node) parent.insertBefore(node, parent.children[at] ?? null);
  });
}

function has(node) {
  return node.getRootNode().activeElement === node;
}

// A line that shows and hides a part; what it gives turns it to one or the other.
function fold(head, part) {
  part.id = `gs-fold-${++views}`;
  part.hidden = true;
  head.setAttribute("aria-controls", part.id);
  head.setAttribute("aria-expanded", "false");
  const turn = (shown) => {
    part.hidden = !shown;
    head.setAttribute("aria-expanded", String(shown));
  };
  head.addEventListener("click", () => turn(part.hidden));
  return turn;
}

// The switch between dark and light. All views of a page turn together; `turned` is called when this one has.
function shading(turned) {
  let light = kept("gigsums light") === true;
  let root = null;
  const node = button("", { class: "gs-shade" });

  function paint() {
    root.dataset.light = String(light);
    node.textContent = light ? "Dark" : "Light";
    node.setAttribute("aria-label", light ? "Change to dark" : "Change to light");
  }

  function follow(event) {
    if (event.detail === light) return;
    light = event.detail;
    paint();
    turned();
  }

  node.addEventListener("click", () => {
    keep("gigsums light", !light);
    window.dispatchEvent(new CustomEvent("gigsums-light", { detail: !light }));
  });
  window.addEventListener("gigsums-light", follow);
  return {
    node,
    get light() {
      return light;
    },
    of(section) {
      root = section;
      paint();
    },
    end: () => window.removeEventListener("gigsums-light", follow),
  };
}

// What a screen reader is told, once the hand rests.
function speaker() {
  const node = make("div", { class: "gs-aloud", role: "status", "aria-live": "polite" });
  let timer = 0;
  return {
    node,
    say(text) {
      clearTimeout(timer);
      timer = setTimeout(() => {
        node.textContent = text;
      }, SPOKEN_MS);
    },
    end: () => clearTimeout(timer),
  };
}

// A picture of two layers of SVG: what seldom changes is put into the page only when it has.
function drawing() {
  const node = make("div", { class: "gs-picture", role: "img" });
  let shown = "";
  return {
    node,
    show({ size, words, moved }, still) {
      if (still !== shown) {
        shown = still;
        node.style.aspectRatio = size.join(" / ");
        node.innerHTML = `<svg viewBox="0 0 ${size.join(" ")}" aria-hidden="true"><g>${still}</g><g></g></svg>`;
      }
      node.firstChild.lastChild.innerHTML = moved;
      node.setAttribute("aria-label", words);
    },
  };
}
