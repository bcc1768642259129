// The page of the calculators.

import { link } from "./link.js";
import view from "./view.js";

const each = (fields, part) => Object.fromEntries(Object.entries(fields).map(([name, field]) => [name, field[part]]));

link({
  view,
  el: document.getElementById("calculator"),
  again: ({ key, light, fields }) => [
    { light, pick: key },
    { light, texts: each(fields, "text"), units: each(fields, "unit"), nudges: {} },
  ],
  changed: (name, now, before) => name !== "sum" || JSON.stringify(now) !== JSON.stringify(before),
});
