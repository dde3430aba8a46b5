// Says where the bench answers and how large its letters are, before textual.js looks.
"use strict";
const terminal = document.getElementById("terminal");
const scheme = location.protocol === "https:" ? "wss:" : "ws:";
terminal.dataset.sessionWebsocketUrl = `${scheme}//${location.host}/ws`;
const size = Number(new URLSearchParams(location.search).get("letters"));
terminal.dataset.fontSize = size >= 8 && size <= 40 ? size : 16;
document.getElementById("again").addEventListener("click", () => location.reload());
// What is typed goes to the bench at once, without a tap before.
addEventListener("load", () => setTimeout(() => terminal.querySelector("textarea").focus()));
