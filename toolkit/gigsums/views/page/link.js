// A page's end of the line to gigsums: stands in for the notebook's widget model, and calls again when cut off.

const LOST = "No answer from the computer that gigsums quick runs on.";
const AGAIN_MS = [300, 1000, 2000, 4000];

// `view` draws the page into `el`. A new line finds nothing at its other end: `again` says what stands on the page.
// `changed` tells whether a piece of news differs from what is known.
export function link({ view, el, again, changed = () => true }) {
  const said = document.getElementById("connection");
  const values = { lost: LOST };
  const heard = new Map();
  let socket = null;
  let tries = 0;
  let timer = 0;
  let waiting = null;
  let light = false;

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

  function opened() {
    said.textContent = "";
    tries = 0;
    if (!values.state) {
      socket.send("{}");
      return;
    }
    for (const each of again(values.state, light)) socket.send(JSON.stringify({ by: "again", ...each }));
    send();
  }

  function arrived(event) {
    const news = JSON.parse(event.data);
    const first = !values.state;
    const names = Object.keys(news).filter((name) => changed(name, news[name], values[name]));
    for (const name of names) values[name] = news[name];
    if (first) view.render({ model, el });
    else for (const name of names) for (const each of heard.get(`change:${name}`) ?? []) each();
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

  function shade(on) {
    light = on;
    document.documentElement.dataset.light = String(on);
    document.querySelector("meta[name=theme-color]").content = on ? "#fbfaf8" : "#1b1d20";
  }

  try {
    light = JSON.parse(localStorage.getItem("gigsums light")) === true;
  } catch {
    // a browser that keeps nothing still calculates
  }
  shade(light);
  window.addEventListener("gigsums-light", (event) => shade(event.detail));
  document.addEventListener("visibilitychange", () => document.hidden || call());
  window.addEventListener("online", call);
  call();
}
