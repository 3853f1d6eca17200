// Below the terminal: keys to tap, a field that brings the phone's keyboard, swipes as a wheel.
// It runs before the terminal's own script, which opens the connection that is used here too.
"use strict";
(() => {
  // The address worked once and is spent: it has no business in the history.
  history.replaceState(null, "", "/");

  let live = null; // the connection, once the terminal has opened it
  let cells = null; // columns and lines, as last told to the other side
  const Plain = window.WebSocket;
  window.WebSocket = class extends Plain {
    constructor(...args) {
      super(...args);
      live = this;
      this.addEventListener("close", (event) => ended(event));
    }
    send(data) {
      const [kind, value] = JSON.parse(data);
      if (kind === "resize") cells = value;
      // Closed while a finger was still down: nobody is there to hear it.
      if (this.readyState === Plain.OPEN) super.send(data);
    }
  };
  const type = (text) => live && live.send(JSON.stringify(["stdin", text]));

  function ended(event) {
    const words = event.reason || "The screens are closed. All that was confirmed is stored.";
    document.getElementById("why").textContent = words;
    document.getElementById("ended").hidden = false;
  }

  // Letters as large as leaves the screens the columns and lines that they need, lying or upright.
  function letterSize(terminal) {
    const probe = document.createElement("canvas").getContext("2d");
    probe.font = "100px 'Roboto Mono', monospace";
    const wide = probe.measureText("m").width / 100;
    const short = Math.min(window.innerWidth, window.innerHeight);
    const keys = document.getElementById("keys").offsetHeight;
    const typing = document.getElementById("typing").offsetHeight;
    const byWidth = (short - 2) / terminal.dataset.leastColumns / wide;
    const byHeight = (short - keys - typing) / terminal.dataset.leastLines / 1.4;
    return Math.max(8, Math.min(16, Math.floor(10 * Math.min(byWidth, byHeight)) / 10));
  }

  function fit() {
    const seen = window.visualViewport;
    // Some phones lay their keyboard over the page instead of making the page smaller.
    if (seen && seen.scale === 1) document.body.style.height = seen.height + "px";
    if (typeof window.onresize === "function") window.onresize();
  }

  function field(letters) {
    let sent = "";
    const clear = () => { letters.value = ""; sent = ""; };
    // A phone may put other letters in the place of some: send what has changed, not the keys.
    letters.addEventListener("input", () => {
      const now = [...letters.value];
      const before = [...sent];
      let same = 0;
      while (same < now.length && same < before.length && now[same] === before[same]) same++;
      const text = "\x7f".repeat(before.length - same) + now.slice(same).join("");
      sent = letters.value;
      if (text) type(text);
    });
    letters.form.addEventListener("submit", (event) => {
      event.preventDefault();
      clear();
      type("\r");
    });
    letters.addEventListener("keydown", (event) => {
      if (event.key === "Backspace" && !letters.value) type("\x7f");
    });
    return clear;
  }

  function sheets(clear) {
    const openers = [...document.querySelectorAll("[data-sheet]")];
    const close = (but) => openers.forEach((opener) => {
      const sheet = document.getElementById(opener.dataset.sheet);
      const open = opener === but && sheet.hidden;
      sheet.hidden = !open;
      opener.setAttribute("aria-expanded", String(open));
    });
    openers.forEach((opener) => opener.addEventListener("click", () => { close(opener); fit(); }));
    document.querySelectorAll("[data-send]").forEach((button) => {
      // The field keeps the phone's keyboard while keys beside it are tapped.
      button.addEventListener("mousedown", (event) => event.preventDefault());
      button.addEventListener("click", () => {
        clear();
        type(JSON.parse(button.dataset.send));
        if (button.closest("#places")) { close(null); fit(); }
      });
    });
  }

  // A swipe over the screens turns the wheel at the place where the finger is.
  function swipes(terminal) {
    let from = null;
    terminal.addEventListener("touchstart", (event) => {
      from = event.touches.length === 1 ? event.touches[0].clientY : null;
    }, { passive: true });
    terminal.addEventListener("touchmove", (event) => {
      const drawn = terminal.querySelector(".xterm-screen");
      if (from === null || event.touches.length !== 1 || !cells || !drawn) return;
      const box = drawn.getBoundingClientRect();
      const high = box.height / cells.height;
      const finger = event.touches[0];
      const column = Math.floor((finger.clientX - box.left) / (box.width / cells.width)) + 1;
      const line = Math.floor((finger.clientY - box.top) / high) + 1;
      for (; finger.clientY - from >= 2 * high; from += 2 * high) type(`\x1b[<64;${column};${line}M`);
      for (; from - finger.clientY >= 2 * high; from -= 2 * high) type(`\x1b[<65;${column};${line}M`);
    }, { passive: true });
  }

  document.addEventListener("DOMContentLoaded", () => {
    const terminal = document.getElementById("terminal");
    terminal.dataset.fontSize = letterSize(terminal);
    const clear = field(document.getElementById("letters"));
    sheets(clear);
    swipes(terminal);
    document.getElementById("again").addEventListener("click", () => location.reload());
    if (window.visualViewport) window.visualViewport.addEventListener("resize", fit);
  });
  // A tap on the screens must not bring the phone's keyboard: the field below them does.
  function quiet() {
    const own = document.querySelector(".xterm-helper-textarea");
    if (own && matchMedia("(pointer: coarse)").matches) own.setAttribute("inputmode", "none");
  }
  // Behind the terminal's own doings at the same moment.
  window.addEventListener("load", () => setTimeout(quiet, 0));
})();
