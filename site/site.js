(() => {
"use strict";
const root = new URL(".", document.currentScript.src);
const show = (id) => {
const element = document.getElementById(id);
if (element) element.hidden = false;
return element;
};
function keep() {
if (!("serviceWorker" in navigator) || !location.protocol.startsWith("http")) return;
const worker = navigator.serviceWorker;
const reading = Boolean(worker.controller);
const offer = (waiting) => {
const notice = show("newer");
if (notice) notice.querySelector("button").onclick = () => waiting.postMessage("newer");
};
worker.register(new URL("sw.js", root), { scope: root.pathname }).then((registration) => {
if (!registration) return;
if (registration.waiting && reading) offer(registration.waiting);
registration.addEventListener("updatefound", () => {
const coming = registration.installing;
coming.addEventListener("statechange", () => {
if (coming.state === "installed" && worker.controller) offer(coming);
});
});
}, () => undefined);
worker.ready.then(() => show("kept"));
let turned = false;
worker.addEventListener("controllerchange", () => {
if (!reading || turned) return;
turned = true;
location.reload();
});
}
function work() {
const button = document.getElementById("work");
if (!button) return;
button.addEventListener("click", () => {
if (self.costrelWork) return self.costrelWork();
const style = document.createElement("link");
style.rel = "stylesheet";
style.href = button.dataset.style;
const script = document.createElement("script");
script.src = button.dataset.script;
style.onload = style.onerror = () => document.head.append(script);
script.onload = () => self.costrelWork();
document.head.append(style);
});
}
function scaling() {
const place = document.getElementById("scale");
const form = place && place.querySelector("form");
if (!form) return;
let asked = false;
let coming = false;
const waiting = new AbortController();
const add = (src, then) => {
const script = document.createElement("script");
script.src = src;
script.onload = then;
script.onerror = () => { coming = false; };
document.head.append(script);
};
const begin = () => {
if (coming) return;
coming = true;
add(place.dataset.facts, () => add(place.dataset.script, () => {
waiting.abort();
if (asked) form.requestSubmit();
}));
};
const on = (name, then) => form.addEventListener(name, then, { signal: waiting.signal });
on("focusin", begin);
on("pointerdown", begin);
on("input", () => { asked = true; begin(); });
on("submit", (event) => { event.preventDefault(); asked = true; begin(); });
const linked = () => { if (location.hash.startsWith("#scale?")) begin(); };
addEventListener("hashchange", linked, { signal: waiting.signal });
linked();
}
function views() {
const inputs = [...document.querySelectorAll(".views input")];
let last = null;
try {
last = localStorage.getItem("view");
} catch {
return;
}
for (const input of inputs) {
if (input.id === last) input.checked = true;
input.addEventListener("change", () => localStorage.setItem("view", input.id));
}
}
views();
work();
scaling();
if (document.readyState === "complete") keep();
else addEventListener("load", keep);
})();
