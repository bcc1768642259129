// The page of the sizing panel.

import { link } from "./link.js";
import view from "./sizing_panel.js";

link({
  view,
  el: document.getElementById("panel"),
  again: ({ desk, text }, light) => [
    { light, do: "desk", name: desk },
    { light, do: "write", text },
  ],
});
