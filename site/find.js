(() => {
"use strict";
const { recipes, things } = self.costrelIndex;
const root = new URL(".", document.currentScript.src);
const split = (text) => plain(text).split(/[^\p{L}\p{N}]+/u).filter(Boolean);
function plain(text) {
return String(text ?? "").normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().replace(/['’]/g, "");
}
function slips(a, b, most) {
if (Math.abs(a.length - b.length) > most) return Infinity;
let before = [];
let last = Array.from({ length: b.length + 1 }, (_, i) => i);
for (let i = 1; i <= a.length; i += 1) {
const row = [i];
let best = i;
for (let j = 1; j <= b.length; j += 1) {
const same = a[i - 1] === b[j - 1] ? 0 : 1;
let cost = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + same);
if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) cost = Math.min(cost, before[j - 2] + 1);
row.push(cost);
best = Math.min(best, cost);
}
if (best > most) return Infinity;
before = last;
last = row;
}
return last[b.length] <= most ? last[b.length] : Infinity;
}
function meets(word, token) {
if (word === token) return 1;
if (token.startsWith(word)) return 0.55;
if (word.length >= 3 && token.includes(word)) return 0.4;
const most = word.length >= 8 ? 2 : word.length >= 4 ? 1 : 0;
if (!most || word[0] !== token[0] && word[1] !== token[1]) return 0;
const whole = slips(word, token, most);
if (whole <= most) return 0.38 - whole * 0.1;
const cut = token.length > word.length ? slips(word, token.slice(0, word.length), most) : Infinity;
return cut <= most ? 0.3 - cut * 0.1 : 0;
}
const fields = recipes.map((r) => [
[10, [...split(r.name), split(r.name).join("")]],
[6, split([r.family, r.glass, ...r.tags, r.kind].join(" "))],
[6, split(r.of.join(" "))],
[1, split(r.line)],
]);
/** Indices of recipes that hold every word, best first; all in their order for no word. */
function search(text) {
const words = split(text);
if (words.length === 0) return recipes.map((_, i) => i);
const found = [];
fields.forEach((parts, i) => {
let sum = 0;
for (const word of words) {
let best = 0;
for (const [weight, tokens] of parts) for (const token of tokens) best = Math.max(best, weight * meets(word, token));
if (best === 0) return;
sum += best;
}
found.push([sum, i]);
});
return found.sort((a, b) => b[0] - a[0] || a[1] - b[1]).map(([, i]) => i);
}
/** What is missing for a recipe and which preps would have to be made first. */
function lacks(recipe, open, path = []) {
const result = { missing: new Set(), make: new Set() };
for (const need of recipe.needs) {
const thing = things[need];
if (open.has(plain(thing.name))) continue;
const own = thing.recipe === null || path.includes(need) ? null : lacks(recipes[thing.recipe], open, [...path, need]);
if (own && own.missing.size === 0) {
result.make.add(thing.name);
own.make.forEach((name) => result.make.add(name));
} else {
result.missing.add(thing.name);
}
}
return result;
}
function element(tag, name, ...children) {
const made = document.createElement(tag);
if (name) made.className = name;
made.append(...children.filter((child) => child !== null));
return made;
}
function row(recipe) {
const link = element("a", "", recipe.name);
link.href = new URL(recipe.href, root).href;
const unit = recipe.unit ? element("span", "unit", recipe.unit) : null;
const measure = recipe.value ? element("span", "quantity", element("b", "", recipe.value), "\u00a0", unit) : "";
const line = recipe.line ? element("span", "line", recipe.line) : null;
const holds = recipe.holds ? element("span", "line", recipe.holds) : null;
const title = element("span", "title", element("bdi", "", link));
return element("li", "pair row", element("span", "measure", measure), " ", element("span", "named", title, " ", line, " ", holds));
}
function quick(form) {
const input = form.querySelector("input");
const list = form.querySelector("ul");
const status = form.querySelector("[role=status]");
const all = form.querySelector("a");
input.addEventListener("input", () => {
const found = split(input.value).length ? search(input.value) : [];
list.replaceChildren(...found.slice(0, 6).map((i) => row(recipes[i])));
const none = split(input.value).length > 0 && found.length === 0;
status.textContent = none ? form.dataset.none : "";
status.className = none ? "aside" : "vh";
all.href = form.dataset.page + (input.value ? "#q=" + encodeURIComponent(input.value) : "");
});
form.addEventListener("submit", (event) => {
event.preventDefault();
const first = list.querySelector("a");
location.href = first ? first.href : all.href;
});
}
function finder(page) {
const form = page.querySelector("form");
const list = page.querySelector("#found");
const count = page.querySelector(".count");
const box = form.querySelector("#find-open");
const taken = form.querySelector(".taken");
const rows = [...list.children];
const names = new Map(things.map((thing) => [plain(thing.name), thing.name]));
const fold = form.querySelector("summary");
const filters = fold.textContent;
let open = [];
const checked = (name) => [...form.querySelectorAll('[name="' + name + '"]:checked')].map((input) => input.value);
function write() {
const address = new URLSearchParams();
for (const name of ["q", "kind", "family", "glass", "tag", "below"]) if (form.elements[name]?.value) address.set(name, form.elements[name].value);
for (const name of ["without", "vegan"]) if (checked(name).length) address.set(name, checked(name).join(","));
if (open.length) address.set("open", open.join(","));
const text = address.toString();
history.replaceState(null, "", "#" + (text || "q="));
}
function read() {
const address = new URLSearchParams(location.hash.slice(1) || location.search);
form.reset();
for (const name of ["q", "kind", "family", "glass", "tag", "below"]) if (form.elements[name]) form.elements[name].value = address.get(name) ?? "";
for (const name of ["without", "vegan"]) {
const wanted = (address.get(name) ?? "").split(",");
for (const input of form.querySelectorAll('[name="' + name + '"]')) input.checked = wanted.includes(input.value);
}
const set = [...address.keys()].some((name) => name !== "q");
if (set || matchMedia("(min-width: 64rem)").matches) form.querySelector("details").open = true;
open = (address.get("open") ?? "").split(",").map(plain).filter((name) => names.has(name));
}
function passes(recipe) {
const value = (name) => form.elements[name]?.value ?? "";
if (value("kind") && recipe.kind !== value("kind")) return false;
if (value("family") && recipe.family !== value("family")) return false;
if (value("glass") && recipe.glass !== value("glass")) return false;
if (value("tag") && !recipe.tags.includes(value("tag"))) return false;
if (value("below") !== "" && !(recipe.abv !== null && recipe.abv < Number(value("below")))) return false;
const without = checked("without");
if (without.length && (recipe.unsure || without.some((tag) => recipe.contains.includes(tag)))) return false;
return !checked("vegan").length || recipe.vegan === true;
}
function remark(li, text) {
li.querySelector(".missing")?.remove();
if (text) li.querySelector(".named").append(element("span", "line missing", text));
}
function show() {
let found = search(form.elements.q.value).filter((i) => passes(recipes[i])).map((i) => ({ i, lacks: null }));
if (open.length) {
const have = new Set(open);
found = found.map(({ i }) => ({ i, lacks: lacks(recipes[i], have) })).filter((f) => f.lacks.missing.size <= 2);
found = found.filter((f) => f.lacks.missing.size < recipes[f.i].needs.length);
found.sort((a, b) => a.lacks.missing.size - b.lacks.missing.size || a.lacks.make.size - b.lacks.make.size);
}
for (const f of found) {
const parts = [];
if (f.lacks?.missing.size) parts.push(page.dataset.missing.replace("{names}", [...f.lacks.missing].join(", ")));
if (f.lacks?.make.size) parts.push(page.dataset.make.replace("{names}", [...f.lacks.make].join(", ")));
remark(rows[f.i], parts.join(" · "));
}
list.replaceChildren(...found.map((f) => rows[f.i]));
const chosen = ["kind", "family", "glass", "tag", "below"].filter((name) => form.elements[name]?.value);
const set = chosen.length + checked("without").length + checked("vegan").length + open.length;
fold.textContent = set ? filters + " (" + set + ")" : filters;
form.querySelector("[type=reset]").hidden = set === 0 && form.elements.q.value === "";
const n = found.length;
count.textContent = n === 0 ? page.dataset.none : (n === 1 ? page.dataset.one : page.dataset.many).replace("{n}", n);
taken.replaceChildren(...open.map((name) => {
const button = element("button", "", names.get(name) + " ×");
button.type = "button";
button.setAttribute("aria-label", page.dataset.remove.replace("{name}", names.get(name)));
button.onclick = () => {
open = open.filter((other) => other !== name);
change();
box.focus();
};
return element("li", "", button);
}));
}
function change() {
write();
show();
}
function take() {
const name = plain(box.value.trim());
if (!names.has(name)) return false;
if (!open.includes(name)) open.push(name);
box.value = "";
change();
return true;
}
box.addEventListener("input", (event) => {
if (event.inputType === "insertReplacementText" || !event.inputType) take();
event.stopPropagation();
});
box.addEventListener("change", take);
box.addEventListener("keydown", (event) => {
if (event.key !== "Enter") return;
event.preventDefault();
if (take()) return;
const near = [...names.keys()].find((name) => box.value && name.split(" ").some((word) => meets(plain(box.value), word) > 0));
if (near) {
box.value = near;
take();
}
});
form.addEventListener("input", change);
form.addEventListener("reset", () => {
open = [];
setTimeout(change);
});
form.addEventListener("submit", (event) => {
event.preventDefault();
list.querySelector("a")?.focus();
});
addEventListener("hashchange", () => {
read();
show();
});
read();
show();
}
const box = document.getElementById("quick");
if (box) quick(box);
const page = document.getElementById("finder");
if (page) finder(page);
})();
