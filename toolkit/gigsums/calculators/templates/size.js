// The page's end of the line to gigsums: stands in for the notebook's widget model, and calls again when cut off.

import view from "./sizing_panel.js";

const LOST = "No answer from the computer that gigsums quick runs on.";
const AGAIN_MS = [300, 1000, 2000, 4000];
const said = document.getElementById("connection");
const values = { lost: LOST };
const heard = new Map();
let socket = null;
let tries = 0;
let timer = 0;
let waiting = null;

const model = {
  get: (name) => values[name],
  set: (name, value) => {
    values[name] = value;
  },
  save_changes() {
    waiting = values.asked;
    send();
    if (socket?.readyState !== WebSocket.OPEN) call();
  },
  on: (name, listener) => heard.set(name, [...(heard.get(name) ?? []), listener]),
  off: (name, listener) => heard.set(name, (heard.get(name) ?? []).filter((each) => each !== listener)),
};

function send() {
  if (!waiting || socket?.readyState !== WebSocket.OPEN || !values.state) return;
  socket.send(JSON.stringify(waiting));
  waiting = null;
}

// A new line finds a new gig at its other end: it is told what stands on this page.
function opened() {
  said.textContent = "";
  tries = 0;
  const { state } = values;
  if (!state) {
    socket.send("{}");
    return;
  }
  const by = "again";
  socket.send(JSON.stringify({ by, light, do: "desk", name: state.desk }));
  socket.send(JSON.stringify({ by, light, do: "write", text: state.text }));
  send();
}

function arrived(event) {
  const news = JSON.parse(event.data);
  const first = !values.state;
  const changed = Object.keys(news);
  for (const name of changed) values[name] = news[name];
  if (first) view.render({ model, el: document.getElementById("panel") });
  else for (const name of changed) for (const each of heard.get(`change:${name}`) ?? []) each();
  if (first) send();
}

function call() {
  if (socket && socket.readyState <= WebSocket.OPEN) return;
  clearTimeout(timer);
  socket = new WebSocket(new URL(document.body.dataset.talk, location.href.replace(/^http/, "ws")));
  socket.onopen = opened;
  socket.onmessage = arrived;
  socket.onclose = () => {
    said.textContent = `${LOST} Trying again.`;
    clearTimeout(timer);
    timer = setTimeout(call, AGAIN_MS[Math.min(tries++, AGAIN_MS.length - 1)]);
  };
}

function shade(light) {
  document.documentElement.dataset.light = String(light);
  document.querySelector("meta[name=theme-color]").content = light ? "#fbfaf8" : "#1b1d20";
}

let light = false;
try {
  light = JSON.parse(localStorage.getItem("gigsums light")) === true;
} catch {
  // a browser that keeps nothing still calculates
}
shade(light);
window.addEventListener("gigsums-light", (event) => {
  light = event.detail;
  shade(light);
});
document.addEventListener("visibilitychange", () => document.hidden || call());
window.addEventListener("online", call);
call();
