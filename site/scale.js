"use strict";
(() => {
const gcd = (a, b) => { while (b) [a, b] = [b, a % b]; return a; };
const make = (n, d) => {
if (d < 0n) { n = -n; d = -d; }
const g = gcd(n < 0n ? -n : n, d) || 1n;
return { n: n / g, d: d / g };
};
const whole = (n) => ({ n: BigInt(n), d: 1n });
const ZERO = whole(0), ONE = whole(1), TWO = whole(2);
/** `12`, `12.5` or `3/8`; null for anything else. */
const read = (text) => {
const parts = /^(\d+)(?:\.(\d+))?(?:\/(\d+))?$/.exec(text);
if (!parts || (parts[2] && parts[3]) || (parts[3] && BigInt(parts[3]) === 0n)) {
const minus = /^-(.+)$/.exec(text), of = minus && read(minus[1]);
return of ? { n: -of.n, d: of.d } : null;
}
const [, left, behind = "", below] = parts;
return below ? make(BigInt(left), BigInt(below)) : make(BigInt(left + behind), 10n ** BigInt(behind.length));
};
const add = (a, b) => make(a.n * b.d + b.n * a.d, a.d * b.d);
const sub = (a, b) => make(a.n * b.d - b.n * a.d, a.d * b.d);
const mul = (a, b) => make(a.n * b.n, a.d * b.d);
const over = (a, b) => (b.n === 0n ? null : make(a.n * b.d, a.d * b.n));
const less = (a, b) => a.n * b.d < b.n * a.d;
const most = (a, b) => (less(a, b) ? b : a);
const abs = (a) => ({ n: a.n < 0n ? -a.n : a.n, d: a.d });
const floor = (a) => { const q = a.n / a.d; return whole(a.n < 0n && q * a.d !== a.n ? q - 1n : q); };
const ceil = (a) => { const f = floor({ n: -a.n, d: a.d }); return whole(-f.n); };
const positive = (a) => a.n > 0n;
const equal = (a, b) => a.n === b.n && a.d === b.d;
const nearest = (a, step) => (step.n === 0n ? a : mul(floor(add(over(a, step), { n: 1n, d: 2n })), step));
const half = (a) => over(a, TWO);
/** With `places` decimals, halves away from zero, no zeros at the end. */
const rounded = (a, places) => {
const top = a.n < 0n ? -a.n : a.n;
const scaled = (top * 10n ** BigInt(places) * 2n + a.d) / (a.d * 2n);
let text = scaled.toString();
if (places > 0) {
text = text.padStart(places + 1, "0");
text = `${text.slice(0, -places)}.${text.slice(-places)}`.replace(/0+$/, "").replace(/\.$/, "");
}
return a.n < 0n && text !== "0" ? `-${text}` : text;
};
/** All digits where they end within 28, else 28 that count. */
const digits = (a) => {
const top = a.n < 0n ? -a.n : a.n;
let zeros = 0;
for (let shifted = top; top !== 0n && shifted < a.d; shifted *= 10n) zeros += 1;
return rounded(a, zeros > 0 ? 27 + zeros : Math.max(0, 28 - (top / a.d).toString().length));
};
const MOST_DASHES = whole(12), MOST_DROPS = whole(40), MOST_SPOONS = whole(6), LEAST_JUG_STEPS = whole(12);
const OUNCE_STEP = { n: 1n, d: 4n }, OUNCE_JUG = whole(16), HALF = { n: 1n, d: 2n }, DOSE_ERROR = { n: 1n, d: 50n };
const USUAL = 0, FINER = 1, WEIGHED = 2;
const tooLittle = (amount, unit) => ({ amount, unit, base: amount, tool: "too little to measure", step: ZERO, loads: ONE });
const closest = (marks, amount) => {
const above = marks.findIndex((m) => !less(m, amount));
if (above < 0) return [marks[marks.length - 1] ?? amount, ZERO];
if (above === 0) return [marks[0], mul(sub(marks[0], amount), TWO)];
const low = marks[above - 1], high = marks[above];
return [less(sub(amount, low), sub(high, amount)) ? low : high, sub(high, low)];
};
const weigh = (kit, grams) => {
const fits = kit.scales.find((s) => !s.capacity || !less(s.capacity, grams));
const heaviest = () => kit.scales.reduce((a, b) => (!a || (a.capacity && (!b.capacity || !less(b.capacity, a.capacity))) ? b : a), null);
const scale = fits ?? heaviest();
if (!scale) return tooLittle(grams, "g");
const base = nearest(grams, scale.step);
if (!positive(base)) return tooLittle(grams, "g");
const loads = scale.capacity ? most(ceil(over(base, scale.capacity)), ONE) : ONE;
const coarse = less(mul(grams, DOSE_ERROR), half(scale.step));
return { amount: base, unit: "g", base, tool: "scale", step: scale.step, loads, coarse };
};
const counted = (kit, ml, unit) => {
const one = kit[unit];
const step = unit === "barspoon" ? mul(one, HALF) : one;
const base = nearest(ml, step);
if (!positive(base)) return tooLittle(ml, "ml");
const tool = { dash: "dashes", drop: "drops", barspoon: "barspoon" }[unit];
return { amount: over(base, one), unit, base, tool, step, loads: ONE };
};
const little = (kit, ml) => {
if (!less(mul(kit.drop, MOST_DROPS), ml)) return counted(kit, ml, "drop");
const dashes = counted(kit, ml, "dash"), spoons = counted(kit, ml, "barspoon");
const off = (m) => abs(sub(m.base, ml));
return positive(spoons.base) && !less(off(dashes), off(spoons)) ? spoons : dashes;
};
const fills = (kit, ml) => {
const largest = kit.jigger[kit.jigger.length - 1] ?? ZERO;
if (!less(largest, ml) || !positive(kit.largest)) return closest(kit.jigger, ml);
const full = mul(ceil(over(sub(ml, largest), kit.largest)), kit.largest);
const [rest, step] = closest(kit.jigger, sub(ml, full));
return [add(full, rest), step];
};
const metric = (kit, ml, care) => {
const inJug = less(mul(kit.largest, TWO), ml) && !less(ml, mul(kit.jug, LEAST_JUG_STEPS));
let base, step, tool;
if (inJug && care === USUAL) {
[base, step, tool] = [nearest(ml, kit.jug), kit.jug, "jug"];
} else if (inJug) {
const full = mul(floor(over(ml, kit.jug)), kit.jug);
const marks = [ZERO, ...kit.jigger.filter((m) => less(m, kit.jug)), kit.jug];
const [rest, gap] = closest(marks, sub(ml, full));
[base, step, tool] = [add(full, rest), gap, "jug and jigger"];
} else {
[base, step] = fills(kit, ml);
tool = "jigger";
}
return { amount: base, unit: "ml", base, tool, step, loads: ONE };
};
const inOunces = (kit, ml) => {
const ounces = over(ml, kit.ounce);
const [step, tool] = less(ounces, OUNCE_JUG) ? [OUNCE_STEP, "jigger"] : [ONE, "jug"];
const amount = nearest(ounces, step);
return { amount, unit: "oz", base: mul(amount, kit.ounce), tool, step: mul(step, kit.ounce), loads: ONE };
};
const pourOut = (kit, ml, written, care, ounces) => {
const few = (unit, count) => !less(mul(unit, count), ml);
const enough = (unit) => !less(ml, mul(unit, HALF));
if (written === "drop" && few(kit.drop, MOST_DROPS)) return counted(kit, ml, "drop");
if ((written === "drop" || written === "dash") && few(kit.dash, MOST_DASHES) && enough(kit.dash)) return counted(kit, ml, "dash");
if (written === "barspoon" && few(kit.barspoon, MOST_SPOONS) && enough(kit.barspoon)) return counted(kit, ml, "barspoon");
const least = ounces ? mul(kit.ounce, OUNCE_STEP) : (kit.jigger[0] ?? kit.jug);
if (less(ml, least)) return little(kit, ml);
return ounces ? inOunces(kit, ml) : metric(kit, ml, care);
};
const toolFor = (kit, amount, line, care, ounces) => {
if (line.mass) return weigh(kit, amount);
if (line.density && care === WEIGHED && positive(line.density)) {
const weighed = weigh(kit, mul(amount, line.density));
const base = over(weighed.base, line.density), step = over(weighed.step, line.density);
const poured = pourOut(kit, amount, line.written, FINER, ounces);
return less(abs(sub(base, amount)), abs(sub(poured.base, amount))) ? { ...weighed, base, step } : poured;
}
return pourOut(kit, amount, line.written, care, ounces);
};
/** The mark below an amount that was rounded up; null where that would be nothing. */
const markBelow = (m) => {
const base = sub(m.base, m.step);
return positive(m.step) && positive(base) ? { ...m, base, amount: over(mul(m.amount, base), m.base) } : null;
};
const NOTHING = { value: ZERO, slope: ZERO };
const growing = (g, by) => ({ value: mul(g.value, by), slope: mul(g.slope, by) });
const together = (a, b) => ({ value: add(a.value, b.value), slope: add(a.slope, b.slope) });
const timesOf = (recipe, top, line, factor, wholeGlasses) => {
if (!line.glass) return factor;
if (!top) return NOTHING;
if (!recipe.glass) return factor;
if (!recipe.volume) return NOTHING;
const glasses = growing(factor, over(recipe.volume, recipe.glass));
return wholeGlasses ? { value: floor(glasses.value), slope: glasses.slope } : glasses;
};
const shares = (data, factor, stock, wholeGlasses) => {
const need = data.recipes.map(() => NOTHING);
return data.recipes.map((recipe, r) => {
let share;
if (r === 0) {
const grows = { value: factor, slope: ONE };
share = { factor: grows, need: recipe.volume ? growing(grows, recipe.volume) : NOTHING, fromStock: ZERO };
} else {
const had = stock.get(r) ?? ZERO, wanted = need[r];
const makes = recipe.volume && !less(wanted.value, had);
const more = { value: sub(wanted.value, had), slope: wanted.slope };
share = {
factor: makes ? growing(more, over(ONE, recipe.volume)) : NOTHING,
need: wanted,
fromStock: less(wanted.value, had) ? wanted.value : had,
};
}
for (const line of recipe.lines) {
if (line.part === null || !line.takes) continue;
need[line.part] = together(need[line.part], growing(timesOf(recipe, r === 0, line, share.factor, wholeGlasses), line.takes));
}
return share;
});
};
const glassesOf = (recipe, factor) => {
if (!recipe.glass) return factor;
return recipe.volume ? floor(over(mul(recipe.volume, factor), recipe.glass)) : null;
};
const FAR = whole(1_000_000_000_000n);
/** Whole fruit adds up, and so does each side of it; of the sides only the one that takes most counts. */
const inAll = (takes) => {
let sum = NOTHING;
const sides = new Map();
for (const { side, amount } of takes) {
if (side === null) sum = together(sum, amount);
else sides.set(side, together(sides.get(side) ?? NOTHING, amount));
}
let largest = NOTHING;
for (const of of sides.values()) {
if (less(largest.value, of.value) || (equal(largest.value, of.value) && less(of.slope, largest.slope))) largest = of;
}
return together(sum, largest);
};
/** Lines that take of a name, each with how much all of it takes in the limit's count. */
const takingsOf = (data, limit, all, wholeGlasses) =>
data.names[limit.name].takes[limit.count].map(([r, l, each, side]) => {
const line = data.recipes[r].lines[l];
return { r, line, side, amount: growing(timesOf(data.recipes[r], r === 0, line, all[r].factor, wholeGlasses), each) };
});
const needOf = (data, limit, all) => inAll(takingsOf(data, limit, all, false));
const allows = (data, limit, stock) => {
let factor = FAR;
const bends = data.recipes.reduce((n, r) => n + 1 + r.lines.length, 0);
for (let i = 0; i <= 2 * bends; i += 1) {
const need = needOf(data, limit, shares(data, factor, stock, false));
if (!less(limit.most, need.value)) break;
const back = over(sub(need.value, limit.most), need.slope);
if (!back) return null;
factor = sub(factor, back);
}
if (equal(factor, FAR)) return null;
for (let i = 0; limit.count === "piece" && i < 10_000; i += 1) {
let next = null;
const takes = takingsOf(data, limit, shares(data, factor, stock, false), false).map((taken) => {
const { value, slope } = taken.amount, pieces = ceil(value);
const back = over(sub(value, sub(pieces, ONE)), slope);
if (back) { const there = sub(factor, back); next = next === null ? there : most(next, there); }
return { ...taken, amount: { value: pieces, slope } };
});
if (!less(limit.most, inAll(takes).value) || next === null) break;
factor = next;
}
return factor;
};
/** What is made of a recipe's own lines and those below them. */
const below = (data, part) => {
const seen = new Set([part]), todo = [part];
while (todo.length) {
for (const line of data.recipes[todo.pop()].lines) {
if (line.part !== null && !seen.has(line.part)) { seen.add(line.part); todo.push(line.part); }
}
}
return seen;
};
const heldBy = (data, haves, sized) => {
const stock = new Map(), parts = new Map(), limits = [];
for (const have of haves) {
const part = data.names[have.name].part;
if (part !== null) {
const recipe = data.recipes[part];
const ml = have.count === "ml" ? have.most
: have.count === "g" && recipe.volume && recipe.weighs ? over(mul(have.most, recipe.volume), recipe.weighs) : null;
if (!ml) throw new RangeError(data.words.untold);
stock.set(part, ml);
parts.set(part, have);
const reached = below(data, part);
const inputsToo = haves.some((other) => other !== have && data.names[other.name].takes[other.count].some(([r]) => reached.has(r)));
if (sized || inputsToo) continue;
}
limits.push(have);
}
return { stock, parts, limits };
};
const measureLine = (data, recipe, line, exact, times, care, ounces) => {
if (!line.pieces) return { line, times, exact, measured: toolFor(data.kit, exact, line, care, ounces), take: null };
const count = over(exact, line.pieces.each) ?? ZERO, pieces = ceil(count);
const take = { exact: count, count: pieces };
if (!line.pieces.whole) return { line, times, exact, measured: toolFor(data.kit, exact, line, care, ounces), take };
const base = mul(pieces, line.pieces.each);
return { line, times, exact, measured: { amount: pieces, unit: line.pieces.word, base, tool: "count", step: ONE, loads: ONE }, take };
};
const errorOf = (pour) => over(sub(pour.measured.base, pour.exact), pour.exact) ?? ZERO;
/** Which figures rounding moves beyond the tolerance. */
const beyond = (data, pours) =>
[0, 1, 2].map((figure) => {
const moved = (p) => (p.line.answers?.[figure] ? mul(errorOf(p), p.line.answers[figure]) : ZERO);
return less(data.kit.tolerance[figure], abs(pours.reduce((sum, p) => add(sum, moved(p)), ZERO)));
});
const measuredPours = (data, recipe, factor, ounces, ready) => {
const pours = [];
for (const line of recipe.lines) {
if (ready ? line.ice : line.melt) continue;
let exact = mul(line.base, factor), times = ONE;
if (line.glass) {
const glasses = glassesOf(recipe, factor);
if (!glasses) continue;
if (recipe.glass || !less(factor, ONE)) [exact, times] = [line.base, glasses];
}
pours.push({ ...measureLine(data, recipe, line, exact, times, USUAL, ounces), care: USUAL });
}
const size = (i) => pours[i].line.ml ?? pours[i].line.base;
const bySize = pours.map((_, i) => i).sort((a, b) => (less(size(b), size(a)) ? -1 : less(size(a), size(b)) ? 1 : a - b));
for (const care of [FINER, WEIGHED]) {
for (const i of bySize) {
if (!beyond(data, pours).includes(true)) return pours;
const pour = pours[i];
if (!pour.line.answers || pour.care >= care) continue;
const finer = measureLine(data, recipe, pour.line, pour.exact, pour.times, care, ounces);
if (less(abs(errorOf(finer)), abs(errorOf(pour)))) pours[i] = { ...finer, care };
}
}
return pours;
};
const ceilingsOf = (data, held, all) => {
const enough = [...held.parts].filter(([part, have]) => !positive(all[part].factor.value) && !held.limits.includes(have));
return [...held.limits, ...enough.map(([, have]) => have)].map((limit) => ({
limit,
takes: takingsOf(data, limit, all, true).map((taken) => ({
...taken, done: false, amount: limit.count === "piece" ? ceil(taken.amount.value) : taken.amount.value,
})),
}));
};
/** All that there is for a line, in the unit in which the stock was stated. */
const allOfIt = (data, limit, line, tool, base, room, ounces) => {
const ml = limit.count === "ml";
const [amount, unit] = ml && ounces ? [over(room, data.kit.ounce), "oz"]
: limit.count === "piece" ? [base, line.mass ? "g" : "ml"] : [room, ml ? "ml" : "g"];
return { amount, unit, base, tool, step: ZERO, loads: ONE };
};
const hold = (data, r, pours, ceilings, ounces) => {
for (const pour of pours) {
const places = ceilings
.map((ceiling) => [ceiling, ceiling.takes.find((t) => t.r === r && t.line === pour.line)])
.filter(([, taken]) => taken);
const pieces = pour.line.pieces;
for (const [{ limit, takes }, taken] of places) {
if (limit.count === "g" && pieces && pieces.fruit) pour.take = null;
if (limit.count === "piece" && pieces) continue;
const others = takes.filter((t) => t !== taken && (t.side === null || taken.side === null || t.side === taken.side));
const room = sub(limit.most, inAll(others.map((t) => ({ side: t.side, amount: { value: t.amount, slope: ZERO } }))).value);
const takenBy = (m) => over(mul(taken.amount, m.base), pour.exact) ?? ZERO;
const fits = (m) => !less(room, takenBy(m));
if (fits(pour.measured)) continue;
if (others.every((t) => t.done) && equal(pour.times, ONE) && !(pieces && pieces.fruit)) {
const tool = others.length ? "the rest of it" : "all of it";
pour.measured = allOfIt(data, limit, pour.line, tool, over(mul(pour.exact, room), taken.amount) ?? pour.exact, room, ounces);
} else {
const tried = [USUAL, FINER, WEIGHED].map((care) => toolFor(data.kit, pour.exact, pour.line, care, ounces));
const off = (m) => abs(sub(m.base, pour.exact));
const below = () => tried.map(markBelow).filter((m) => m && fits(m)).reduce((a, b) => (!a || less(off(b), off(a)) ? b : a), null);
pour.measured = tried.find(fits) ?? below() ?? tooLittle(pour.exact, pour.line.mass ? "g" : "ml");
}
if (pieces && pieces.whole) pour.take = null;
}
for (const [{ limit }, taken] of places) {
taken.done = true;
if (limit.count !== "piece" || !pieces) taken.amount = mul(taken.amount, add(ONE, errorOf(pour)));
}
}
};
/** Fruit of which different sides are used, and how many pieces of it in all; a weighed heap is not counted. */
const fruitOf = (data, all, held) =>
data.names.flatMap((of, name) => {
if (!of.takes.piece || held.limits.some((limit) => limit.name === name && limit.count === "g")) return [];
const takes = takingsOf(data, { name, count: "piece" }, all, true)
.map((t) => ({ side: t.side, amount: { value: ceil(t.amount.value), slope: ZERO } }))
.filter((t) => positive(t.amount.value));
const sides = [...new Set(takes.map((t) => t.side).filter((side) => side !== null))].sort();
return sides.length > 1 ? [{ name: of.name, count: inAll(takes).value, sides }] : [];
});
const inView = (data, line, base, ounces) => {
if (line.pieces && line.pieces.whole) return { amount: over(base, line.pieces.each) ?? ZERO, unit: line.pieces.word };
if (line.mass) return { amount: base, unit: "g" };
return ounces ? { amount: over(base, data.kit.ounce), unit: "oz" } : { amount: base, unit: "ml" };
};
const FIGURES = ["abv_pct", "sugar_g_per_100ml", "acid_g_per_100ml"];
const startOf = (pour) => {
const { measured } = pour;
const wanted = mul(measured.amount, { n: 2n, d: 3n });
const inBase = over(measured.base, measured.amount) ?? ONE;
const step = measured.tool === "count" ? ONE : (over(measured.step, inBase) ?? ONE);
const down = positive(step) ? mul(floor(over(wanted, step)), step) : wanted;
return { amount: mul(positive(down) ? down : measured.amount, pour.times), unit: measured.unit };
};
const pourAnswer = (data, pour, ounces, scaledUp) => {
const { line, measured, take, times } = pour;
const measure = { amount: mul(measured.amount, times), unit: measured.unit };
const spare = take && sub(take.count, take.exact);
return {
name: line.name, href: line.href, at: line.at, tool: measured.tool,
exact: inView(data, line, mul(pour.exact, times), ounces), measure,
error: errorOf(pour),
perGlass: line.glass ? { exact: inView(data, line, pour.exact, ounces), measure: { amount: measured.amount, unit: measured.unit } } : null,
start: line.taste && scaledUp ? startOf(pour) : null,
take: take ? { unit: line.pieces.word, exact: mul(take.exact, times), count: mul(take.count, times) } : null,
surplus: spare && positive(spare)
? line.pieces.whole ? { amount: mul(spare, times), unit: line.pieces.word }
: { amount: mul(mul(spare, line.pieces.each), times), unit: line.mass ? "g" : "ml" }
: null,
fillsTo: line.fills ? inView(data, line, mul(line.fills, over(pour.exact, line.base) ?? ONE), ounces) : null,
loads: measured.loads, coarse: measured.coarse === true || measured.tool === "too little to measure",
};
};
const factorOf = (data, asked, held) => {
const top = data.recipes[0];
let factor = null, limitedBy = null;
const ml = asked.makes
?? (asked.bottles ? mul(mul(asked.bottles.size, sub(ONE, data.kit.headspace)), asked.bottles.count) : null)
?? (asked.serves && top.glass ? mul(asked.serves, top.glass) : null);
if (ml) {
if (!top.volume) throw new RangeError(data.words.unknown_volume);
factor = over(ml, top.volume);
} else if (asked.serves) factor = asked.serves;
for (const limit of held.limits) {
const most = allows(data, limit, held.stock);
if (most && (factor === null || less(most, factor))) [factor, limitedBy] = [most, data.names[limit.name].name];
}
factor ??= ONE;
if (top.volume ? less(whole(10_000_000), mul(factor, top.volume)) : less(whole(1_000_000), factor)) {
throw new RangeError(data.words.too_much);
}
const serves = glassesOf(top, factor);
if (top.drink && serves && less(whole(10_000_000), serves)) throw new RangeError(data.words.too_much);
if (!positive(factor)) throw new RangeError(data.words.too_little);
return [factor, limitedBy];
};
/** Scales the recipe. `asked`: `serves`, `makes` (ml) or `bottles` {size, count} as fractions, `haves`, `ounces`, `ready`. */
const scale = (data, asked) => {
const haves = asked.haves ?? [], ounces = asked.ounces === true;
haves.forEach((have, i) => {
if (haves.findIndex((other) => other.name === have.name) < i) throw new RangeError(data.words.twice);
});
const sized = Boolean(asked.serves ?? asked.makes ?? asked.bottles);
const held = heldBy(data, haves, sized);
const [factor, limitedBy] = factorOf(data, asked, held);
const all = shares(data, factor, held.stock, true);
const ceilings = ceilingsOf(data, held, all);
const parent = new Map();
data.recipes.forEach((recipe, r) => {
for (const line of recipe.lines) if (line.part !== null && line.part !== r && !parent.has(line.part)) parent.set(line.part, r);
});
const answers = new Map();
for (let r = data.recipes.length - 1; r >= 0; r -= 1) {
const recipe = data.recipes[r], share = all[r], times = share.factor.value;
const answer = {
recipe: recipe.slug, name: recipe.name, href: recipe.href, factor: times,
makes: recipe.volume ? mul(recipe.volume, times) : null,
serves: recipe.drink ? glassesOf(recipe, times) : null,
needed: r === 0 ? null : share.need.value,
fromStock: r === 0 || !positive(share.fromStock) ? null : share.fromStock,
pours: [], preps: [], bottles: [], left: null, beyond: [],
};
if (answer.serves) answer.serves = floor(answer.serves);
if (positive(times)) {
const pours = measuredPours(data, recipe, times, ounces, r === 0 && asked.ready === true);
hold(data, r, pours, ceilings, ounces);
answer.beyond = FIGURES.filter((_, i) => beyond(data, pours)[i]);
answer.pours = pours.map((pour) => pourAnswer(data, pour, ounces, less(ONE, times)));
}
for (const line of recipe.lines) {
if (line.part !== null && parent.get(line.part) === r && answers.has(line.part)) {
answer.preps.push(answers.get(line.part));
answers.delete(line.part);
}
}
answers.set(r, answer);
}
const answer = answers.get(0);
answer.limitedBy = limitedBy;
answer.fruit = fruitOf(data, all, held);
if (asked.ready) answer.ready = data.recipes[0].lines.filter((l) => l.melt).reduce((sum, l) => add(sum, mul(l.base, factor)), ZERO);
bottled(data, asked, answer);
return answer;
};
const bottled = (data, asked, answer) => {
const top = data.recipes[0];
if (!answer.makes) return;
let left = answer.makes, kind = null;
if (asked.bottles) kind = { size: asked.bottles.size, fill: mul(asked.bottles.size, sub(ONE, data.kit.headspace)), most: asked.bottles.count };
else if (top.bottle) kind = { size: top.bottle[0], fill: mul(top.bottle[0], sub(ONE, top.bottle[1])), most: null };
if (kind) {
const fits = floor(over(left, kind.fill));
const count = kind.most && less(kind.most, fits) ? kind.most : fits;
left = sub(left, mul(kind.fill, count));
if (positive(count) || kind.most) answer.bottles.push({ size: kind.size, count, fill: kind.fill });
}
const serve = top.glass ?? top.volume;
if (!answer.bottles.length) left = answer.serves && serve ? sub(left, mul(serve, answer.serves)) : ZERO;
answer.left = left;
};
const text = (value) => {
if (value === null || value === undefined || typeof value === "string" || typeof value === "boolean") return value ?? null;
if (typeof value.n === "bigint") return digits(value);
if (Array.isArray(value)) return value.map(text);
return Object.fromEntries(Object.entries(value).map(([key, of]) => [key, text(of)]));
};
/** Asked in words: `serves`, `makes` (ml), `bottles` {size, count}, `haves` [{name, count, most}], `ounces`, `ready`; all numbers as text. */
const inWords = (data, asked) => text(scale(data, {
serves: asked.serves ? read(asked.serves) : undefined,
makes: asked.makes ? read(asked.makes) : undefined,
bottles: asked.bottles ? { size: read(asked.bottles.size), count: read(asked.bottles.count) } : undefined,
haves: (asked.haves ?? []).map((h) => ({ name: data.names.findIndex((n) => n.name === h.name), count: h.count, most: read(h.most) })),
ounces: asked.ounces,
ready: asked.ready,
}));
const maybe = (text) => (text === null || text === undefined ? null : read(text));
const prepare = (raw) => ({
kit: {
...Object.fromEntries(["largest", "jug", "dash", "drop", "barspoon", "ounce", "headspace"].map((k) => [k, read(raw.kit[k])])),
jigger: raw.kit.jigger.map(read),
tolerance: raw.kit.tolerance.map(read),
scales: raw.kit.scales.map(([step, capacity]) => ({ step: read(step), capacity: maybe(capacity) })),
},
recipes: raw.recipes.map((r) => ({
...r, volume: maybe(r.volume), weighs: maybe(r.weighs), glass: maybe(r.glass), bottle: r.bottle ? r.bottle.map(read) : null,
lines: r.lines.map((l) => ({
...l, base: read(l.base), density: maybe(l.density), ml: maybe(l.ml), takes: maybe(l.takes), fills: maybe(l.fills),
answers: l.answers ? l.answers.map(maybe) : null,
pieces: l.pieces ? { ...l.pieces, each: read(l.pieces.each) } : null,
})),
})),
words: raw.words,
ready: raw.ready,
names: raw.names.map((n) => ({
...n,
takes: Object.fromEntries(Object.entries(n.takes).map(([count, list]) => [count, list.map(([r, l, each, side]) => [r, l, read(each), side])])),
})),
});
const UNITS = { ml: 1n, l: 1000n };
let words = {};
const say = (key, values = {}) => words[key].replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
const shown = (amount, places) => {
const decimals = places ?? (less(amount.amount, whole(100)) ? (amount.unit === "ml" ? 2 : 3) : 1);
const many = less(ONE, amount.amount);
const symbol = ["ml", "g", "oz", "l"].includes(amount.unit);
const plain = many && !symbol && !amount.unit.endsWith("s") ? `${amount.unit}s` : amount.unit;
return `${rounded(amount.amount, decimals)}\u00a0${words[`${amount.unit}_${many ? "other" : "one"}`] ?? plain}`;
};
const volume = (ml) => (less(ml, whole(1000)) ? shown({ amount: ml, unit: "ml" }, 1) : shown({ amount: over(ml, whole(1000)), unit: "l" }, 2));
const element = (name, properties = {}, ...children) => {
const made = document.createElement(name);
for (const [key, value] of Object.entries(properties)) if (value !== null && value !== undefined) made.setAttribute(key, value);
made.append(...children.filter((c) => c !== null && c !== undefined));
return made;
};
const valued = (amount, places) => element("data", { value: digits(amount.amount), "data-unit": amount.unit }, shown(amount, places));
const besides = (pour) => {
const list = [];
if (pour.at) list.push(say("at", { stage: pour.at }));
if (pour.perGlass) list.push(say("each_glass", { amount: shown(pour.perGlass.measure, 4) }));
if (pour.take && pour.measure.unit !== pour.take.unit) {
list.push(say("from", { amount: shown({ amount: pour.take.count, unit: pour.take.unit }, 0) }));
}
if (pour.surplus) list.push(say("spare", { amount: shown(pour.surplus) }));
if (pour.fillsTo) list.push(say("fills", { amount: shown(pour.fillsTo) }));
if (pour.start) list.push(say("start", { amount: shown(pour.start, 4) }));
if (less(ONE, pour.loads)) list.push(say("loads", { n: rounded(pour.loads, 0) }));
if (pour.coarse) list.push(say("coarse"));
return list.join(" · ");
};
const tableOf = (answer) => {
const caption = say("scaled", { name: answer.name });
const head = element("tr", {}, ...["what", "measure", "exact", "tool"].map((key) => element("th", { scope: "col" }, say(key))));
const rows = answer.pours.map((pour) => {
const behind = besides(pour);
const name = pour.href ? element("a", { href: pour.href }, pour.name) : pour.name;
return element("tr", {},
element("th", { scope: "row" }, element("bdi", {}, name), behind ? element("span", { class: "line" }, behind) : null),
element("td", { class: "scaled" }, valued(pour.measure, 4)),
element("td", {}, valued(pour.exact)),
element("td", {}, say(`by_${pour.tool.replaceAll(" ", "_")}`)));
});
return element("div", { class: "table", role: "region", tabindex: "0", "aria-label": caption },
element("table", { class: "words" }, element("caption", {}, element("span", { class: "vh" }, caption)), element("thead", {}, head), element("tbody", {}, ...rows)));
};
const sumUp = (answer) => {
const list = [say("times", { n: rounded(answer.factor, 4) })];
if (answer.makes) list.push(say("makes", { volume: volume(answer.makes) }));
if (answer.serves) list.push(say(equal(answer.serves, ONE) ? "serves_one" : "serves_other", { n: rounded(answer.serves, 0) }));
for (const b of answer.bottles) {
const sizes = { n: rounded(b.count, 0), size: volume(b.size), fill: volume(b.fill) };
list.push(say(equal(b.count, ONE) ? "bottles_one" : "bottles_other", sizes));
}
if (answer.left && !less(answer.left, { n: 1n, d: 20n })) list.push(say("left", { volume: volume(answer.left) }));
if (answer.limitedBy) list.push(say("limited", { name: answer.limitedBy }));
return list.join(" · ");
};
/** An answer and its parts, at any depth. */
const withParts = (answer) => [answer, ...answer.preps.flatMap(withParts)];
/** What must be said beside the numbers. */
const told = (data, answer) => {
const list = [];
const moved = FIGURES.filter((figure) => withParts(answer).some((part) => part.beyond.includes(figure)));
if (moved.length) list.push(say("beyond", { figures: moved.map((figure) => say(`figure_${figure}`)).join(", ") }));
for (const { name, count, sides } of answer.fruit) {
list.push(say("fruit", { n: rounded(count, 0), name, sides: sides.map((side) => words[`side_${side}`] ?? side).join(", ") }));
}
if (answer.ready) list.push(say("ready_water", { volume: volume(answer.ready) }), ...data.ready);
return list;
};
const partWords = (part) => {
const makes = part.makes ? volume(part.makes) : "?";
if (!positive(part.factor)) return say("in_stock", { volume: volume(part.fromStock ?? ZERO) });
const make = part.fromStock
? say("needed", { needed: volume(part.needed), stock: volume(part.fromStock), volume: makes }) : say("to_make", { volume: makes });
return `${make}, ${say("times", { n: rounded(part.factor, 4) })}`;
};
const partsOf = (answer) => answer.preps.flatMap((part) => [
element("h4", {}, part.href ? element("a", { href: part.href }, part.name) : part.name),
element("p", { class: "aside", "data-part": part.recipe, "data-factor": digits(part.factor) }, partWords(part)),
...(part.pours.length ? [tableOf(part)] : []),
...partsOf(part),
]);
/** What the form, or the address, asks for; null where it says nothing. */
const asks = (data, fields) => {
const number = (text) => {
const value = read(String(text ?? "").trim().replace(",", "."));
if (!value || !positive(value)) throw new RangeError(data.words.bad_number);
return value;
};
const unit = (name) => mul(name === "oz" ? data.kit.ounce : whole(UNITS[name] ?? 1n), ONE);
const ounces = fields.in === "oz", ready = fields.ready === "1";
switch (fields.by) {
case "serves": {
const serves = number(fields.serves);
if (serves.d !== 1n) throw new RangeError(data.words.bad_whole);
return { serves, ounces, ready };
}
case "volume": return { makes: mul(number(fields.makes), unit(fields.unit)), ounces, ready };
case "bottles": {
const count = number(fields.bottles);
if (count.d !== 1n) throw new RangeError(data.words.bad_whole);
return { bottles: { count, size: number(fields.size) }, ounces, ready };
}
case "stock": return { haves: fields.stock.filter((one, i, all) => one.have.trim() || all.every((o) => !o.have.trim())).map((one) => {
const name = data.names.findIndex((n) => n.name === one.name);
if (name < 0) throw new RangeError(data.words.bad_name);
const count = one.count in data.names[name].takes ? one.count : Object.keys(data.names[name].takes)[0];
return { name, count, most: number(one.have) };
}), ounces, ready };
default: return null;
}
};
const KEYS = { serves: ["serves"], volume: ["makes", "unit"], bottles: ["bottles", "size"], stock: [] }, STOCK = ["name", "have", "count"];
/** Amounts in the prose follow the batch: their words begin with their number. */
const spoken = [...document.querySelectorAll("main data.amount")]
.map((where) => ({ where, before: where.textContent, value: read(where.value) }))
.filter(({ value, before }) => value && /^[\d½¼¾⅓⅔⅛⅜⅝⅞]/.test(before));
const follow = (factor) => {
for (const { where, before, value } of spoken) {
const grown = factor && mul(value, factor);
const places = grown && (less(grown, whole(10)) ? 2 : less(grown, whole(100)) ? 1 : 0);
where.textContent = grown ? `${rounded(grown, places)}${before.replace(/^[^\p{L}]*?(\s*)(?=\p{L}|$)/u, "$1")}` : before;
}
};
const start = (place) => {
const data = prepare(self.costrelScale);
words = data.words;
const form = place.querySelector("form"), out = place.querySelector("output"), result = place.querySelector(".scaled-spec");
const link = place.querySelector("a.scale-link"), list = place.querySelector(".told");
const first = form.querySelector(".stock"), more = form.querySelector("button.more");
const field = (row, key) => row.querySelector(`[name="${key}"]`);
for (const n of data.names) field(first, "name").append(element("option", { value: n.name }, n.name));
/** The units in which what a row names can be counted. */
const counts = (row) => {
const count = field(row, "count"), chosen = data.names.find((n) => n.name === field(row, "name").value), before = count.value;
const named = { ml: "ml", g: "g", piece: say("piece_other") };
count.replaceChildren(...Object.keys(chosen?.takes ?? {}).map((c) => element("option", { value: c }, named[c])));
if ([...count.options].some((o) => o.value === before)) count.value = before;
};
const rows = () => [...form.querySelectorAll(".stock")];
const settle = () => {
for (const row of rows()) row.querySelector(".less").hidden = rows().length < 2;
more.hidden = rows().length >= data.names.length;
};
const addRow = () => {
const row = first.cloneNode(true), taken = rows().map((r) => field(r, "name").value);
rows().at(-1).after(row);
field(row, "have").value = "";
field(row, "name").value = data.names.find((n) => !taken.includes(n.name))?.name ?? data.names[0].name;
counts(row);
settle();
return row;
};
const fieldsOf = () => {
const sent = new FormData(form);
const [names, haves, units] = STOCK.map((key) => sent.getAll(key));
const stock = names.map((name, i) => ({ name, have: haves[i], count: units[i] }));
return { ...Object.fromEntries(sent.entries()), stock };
};
const choose = () => {
const by = new FormData(form).get("by");
for (const group of form.querySelectorAll("[data-by]")) group.hidden = group.dataset.by !== by;
};
const clear = () => { result.replaceChildren(); place.classList.remove("is-scaled"); list.hidden = true; follow(null); };
const show = () => {
choose();
const fields = fieldsOf();
try {
const answer = scale(data, asks(data, fields));
result.dataset.factor = digits(answer.factor);
result.dataset.makes = answer.makes ? digits(answer.makes) : "";
result.dataset.serves = answer.serves ? digits(answer.serves) : "";
result.dataset.left = answer.left ? digits(answer.left) : "";
out.textContent = sumUp(answer);
const lines = told(data, answer);
list.replaceChildren(...lines.map((line) => element("li", {}, line)));
list.hidden = !lines.length;
const parts = partsOf(answer);
result.replaceChildren(tableOf(answer), ...(parts.length ? [element("h3", {}, say("first")), ...parts] : []));
place.classList.add("is-scaled");
follow(answer.factor);
const stock = fields.by === "stock" ? fields.stock.filter((one) => one.have.trim()).flatMap((one) => STOCK.map((k) => [k, one[k]])) : [];
const state = new URLSearchParams([["by", fields.by], ...KEYS[fields.by].map((k) => [k, fields[k]]), ...stock, ["in", fields.in]]);
if (fields.ready) state.set("ready", fields.ready);
link.href = `#scale?${state}`;
link.hidden = false;
history.replaceState(null, "", link.href);
} catch (error) {
if (!(error instanceof RangeError)) throw error;
clear();
link.hidden = true;
out.textContent = error.message;
}
};
const fromAddress = () => {
const state = location.hash.startsWith("#scale?") ? new URLSearchParams(location.hash.slice(7)) : null;
if (!state) return false;
for (const [key, value] of state) {
if (key === "ready" || STOCK.includes(key)) continue;
const set = form.elements.namedItem(key);
if (set) set.value = value;
}
const ready = form.elements.namedItem("ready");
if (ready) ready.checked = state.get("ready") === "1";
const [names, haves, units] = STOCK.map((key) => state.getAll(key));
if (names.length) for (const row of rows().slice(1)) row.remove();
names.slice(0, data.names.length).forEach((name, i) => {
const row = i === 0 ? first : addRow();
field(row, "name").value = name;
counts(row);
field(row, "have").value = haves[i] ?? "";
if (units[i]) field(row, "count").value = units[i];
});
settle();
return true;
};
counts(first);
settle();
choose();
form.addEventListener("submit", (event) => { event.preventDefault(); show(); });
form.addEventListener("input", (event) => {
if (event.target.name === "name") counts(event.target.closest(".stock"));
show();
});
more.addEventListener("click", () => { field(addRow(), "have").focus(); show(); });
form.addEventListener("click", (event) => {
const row = event.target.closest(".less")?.closest(".stock");
if (!row) return;
const next = rows()[1];
if (row === first) {
field(first, "name").value = field(next, "name").value;
counts(first);
for (const key of ["have", "count"]) field(first, key).value = field(next, key).value;
next.remove();
} else row.remove();
settle();
field(first, "have").focus();
show();
});
addEventListener("hashchange", () => { if (fromAddress()) show(); });
form.hidden = false;
if (fromAddress()) { show(); place.scrollIntoView(); }
place.scale = (asked) => inWords(data, asked);
};
const place = document.getElementById("scale");
if (place) start(place);
})();
