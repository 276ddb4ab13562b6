(() => {
"use strict";
const words = document.getElementById("work-words");
const opener = document.getElementById("work");
document.body.append(words.content.cloneNode(true));
const dialog = document.querySelector("dialog.work");
const part = (name) => dialog.querySelector("." + name);
const place = part("place");
const clocks = part("clocks");
const next = part("next");
const label = next.textContent;
const steps = [document.querySelector(".spec .sheet"), ...document.querySelectorAll(".steps > li")];
const running = new Map();
let at = 0;
let lock = null;
let sound = null;
const two = (n) => String(n).padStart(2, "0");
const clock = (s) => (s >= 3600 ? Math.floor(s / 3600) + ":" + two(Math.floor(s / 60) % 60) : Math.floor(s / 60)) + ":" + two(s % 60);
async function wake() {
try {
lock = await navigator.wakeLock.request("screen");
part("awake").hidden = false;
lock.addEventListener("release", () => { part("awake").hidden = true; });
} catch {
lock = null;
}
}
function beep() {
try {
sound ??= new AudioContext();
const tone = sound.createOscillator();
const level = sound.createGain();
level.gain.value = 0.2;
tone.frequency.value = 880;
tone.connect(level).connect(sound.destination);
tone.start();
tone.stop(sound.currentTime + 0.6);
} catch {
}
if (navigator.vibrate) navigator.vibrate([300, 150, 300]);
}
function start(id, seconds, name, step) {
running.set(id, { end: Date.now() + seconds * 1000, name, step, done: false });
tick();
}
function stop(id) {
running.delete(id);
draw();
}
function tick() {
for (const timer of running.values()) {
if (!timer.done && Date.now() >= timer.end) {
timer.done = true;
part("told").textContent = timer.name + ": " + clocks.dataset.done;
beep();
}
}
draw();
}
function button(id, text, done, act) {
let element = clocks.querySelector('[data-id="' + id + '"]');
if (!element) {
element = document.createElement("button");
element.type = "button";
element.dataset.id = id;
clocks.append(element);
}
element.textContent = text;
element.className = done ? "is-done" : "";
element.onclick = act;
return element;
}
function draw() {
const wanted = new Set();
const own = (steps[at].dataset.timers || "").split("|").filter(Boolean);
own.forEach((timer, i) => {
const [seconds, name] = timer.split(";");
const id = at + "-" + i;
if (running.has(id)) return;
wanted.add(id);
button(id, clocks.dataset.start.replace("{time}", name), false, () => start(id, Number(seconds), name, at));
});
for (const [id, timer] of running) {
wanted.add(id);
const left = Math.max(0, Math.ceil((timer.end - Date.now()) / 1000));
const text = timer.done ? timer.name + ": " + clocks.dataset.done : clocks.dataset.stop.replace("{time}", clock(left));
button(id, timer.step === at ? text : timer.step + ". " + text, timer.done, () => stop(id));
}
for (const element of [...clocks.children]) if (!wanted.has(element.dataset.id)) element.remove();
}
function go(to) {
at = Math.max(0, Math.min(steps.length - 1, to));
const now = part("now");
const scaled = at === 0 && document.querySelector("#scale.is-scaled .scaled-spec");
const copy = (scaled || steps[at]).cloneNode(true);
copy.removeAttribute("id");
for (const element of copy.querySelectorAll("[id]")) element.removeAttribute("id");
if (at > 0) now.replaceChildren(...copy.querySelector(".named").childNodes);
else now.replaceChildren(copy);
now.classList.toggle("is-spec", at === 0);
place.textContent = at === 0 ? place.dataset.first : place.dataset.place.replace("{n}", at).replace("{of}", steps.length - 1);
part("back").disabled = at === 0;
next.textContent = at === steps.length - 1 ? next.dataset.end : label;
now.scrollTop = 0;
draw();
now.focus({ preventScroll: true });
}
const forward = () => (at === steps.length - 1 ? dialog.close() : go(at + 1));
part("back").onclick = () => go(at - 1);
next.onclick = forward;
part("close").onclick = () => dialog.close();
dialog.addEventListener("keydown", (event) => {
const turned = getComputedStyle(dialog).direction === "rtl" ? -1 : 1;
if (event.target.closest("button") && event.key === " ") return;
if (event.key === "ArrowRight") turned > 0 ? forward() : go(at - 1);
else if (event.key === "ArrowLeft") turned > 0 ? go(at - 1) : forward();
else return;
event.preventDefault();
});
dialog.addEventListener("close", () => {
if (lock) lock.release();
opener.focus();
});
document.addEventListener("visibilitychange", () => {
if (document.visibilityState === "visible" && dialog.open) wake();
});
setInterval(() => { if (running.size) tick(); }, 250);
self.costrelWork = () => {
dialog.showModal();
wake();
go(at);
};
})();
