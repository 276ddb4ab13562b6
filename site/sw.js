const EDITION = "99c881dc";
const FILES = [["404.html","53eb78ac"],
["allergens.html","53fd471d"],
["balance-map.html","79bce90c"],
["chapters/hot-and-cold.html","a8f1ce1b"],
["chapters/infusions-and-foams.html","dd58aaa3"],
["chapters/juices-and-ferments.html","ee9b1bff"],
["chapters/low-and-none.html","76184823"],
["chapters/punch-bowl.html","4b7dc333"],
["chapters/shaken.html","e8c2434c"],
["chapters/stirred.html","21f17bbd"],
["chapters/syrups-and-cordials.html","8d288113"],
["chapters/tall.html","ffff8601"],
["chapters/workshop.html","838746d0"],
["find.html","a9336d13"],
["find.js","0e54ce99"],
["house.html","9531c118"],
["icon-192.png","ed2922eb"],
["icon-512.png","fbc1c9b4"],
["index.html","5b52c6fc"],
["index.js","dd7e9d2e"],
["ingredients/absinthe.html","997f4aef"],
["ingredients/agave-nectar.html","94c63ca2"],
["ingredients/aged-rum.html","425f7953"],
["ingredients/agricole-cane-juice-rum.html","3547217f"],
["ingredients/amaro.html","6e951537"],
["ingredients/apple-brandy.html","75468d54"],
["ingredients/aquavit.html","ab5c1852"],
["ingredients/aromatic-bitters.html","8df4b28f"],
["ingredients/blended-scotch-whisky.html","e0c625ad"],
["ingredients/bourbon-whiskey.html","33699203"],
["ingredients/brandy.html","d3998693"],
["ingredients/brewed-black-tea.html","bea54513"],
["ingredients/brown-butter.html","d9723795"],
["ingredients/brut-sparkling-wine.html","a137c7ff"],
["ingredients/caster-sugar.html","53ea958a"],
["ingredients/celery-bitters.html","1d0a8586"],
["ingredients/ceylon-cinnamon.html","64e36c8d"],
["ingredients/cider-vinegar.html","a73a55a4"],
["ingredients/citric-acid.html","b665225c"],
["ingredients/cloudy-apple-juice.html","948a9136"],
["ingredients/coffee-liqueur.html","93d14a82"],
["ingredients/cold-brew-coffee.html","722f494a"],
["ingredients/demerara-sugar.html","f79cc4a7"],
["ingredients/double-cream.html","93493862"],
["ingredients/dried-chamomile.html","aefd2a74"],
["ingredients/dry-cider.html","cc48e476"],
["ingredients/dry-oloroso-sherry.html","5a9974a8"],
["ingredients/dry-vermouth.html","ffe20e8f"],
["ingredients/egg-white.html","38ec7f02"],
["ingredients/egg.html","c477b609"],
["ingredients/elderflower-cordial.html","90cfdb55"],
["ingredients/elderflower-liqueur.html","e101cda3"],
["ingredients/espresso.html","14cd4896"],
["ingredients/evaporated-milk.html","151af80b"],
["ingredients/falernum.html","42a3a2d5"],
["ingredients/fino-sherry.html","37954d34"],
["ingredients/fresh-grapefruit-juice.html","97c851c3"],
["ingredients/fresh-lemon-juice.html","202d1e6c"],
["ingredients/fresh-lime-juice.html","34dd6109"],
["ingredients/fresh-orange-juice.html","cecb33a6"],
["ingredients/gin.html","ca4881bc"],
["ingredients/ginger-beer.html","8282ae36"],
["ingredients/ginger-juice.html","51a1fd7d"],
["ingredients/golden-syrup.html","6504c6b4"],
["ingredients/honey.html","3bdfa1d6"],
["ingredients/hot-chilli-sauce.html","cfacf40c"],
["ingredients/ice.html","65d9b838"],
["ingredients/index.html","5adac19c"],
["ingredients/lemon.html","22075d27"],
["ingredients/lime.html","1acedfae"],
["ingredients/loose-black-tea.html","6d34c195"],
["ingredients/malic-acid.html","8a796250"],
["ingredients/malt-genever.html","c3212454"],
["ingredients/maple-syrup.html","99821077"],
["ingredients/maraschino-liqueur.html","e0866531"],
["ingredients/mezcal.html","12357801"],
["ingredients/mint.html","0eeb550f"],
["ingredients/navy-strength-gin.html","03876d48"],
["ingredients/old-tom-gin.html","ccdfb537"],
["ingredients/orange-bitters.html","9c9827ee"],
["ingredients/orgeat.html","937b6a2a"],
["ingredients/overproof-rum.html","ee1c8c29"],
["ingredients/pear-core.html","9e70ae9c"],
["ingredients/pear-eau-de-vie.html","d6ae456b"],
["ingredients/pear-peel.html","08b2541f"],
["ingredients/pear.html","a7a2eb7c"],
["ingredients/peated-single-malt-whisky.html","12174853"],
["ingredients/pineapple.html","de5714ed"],
["ingredients/premium-dry-triple-sec.html","37f1966e"],
["ingredients/quince-juice.html","c280fc2b"],
["ingredients/raspberry.html","314263ef"],
["ingredients/red-bitter-aperitif.html","d3e5ab66"],
["ingredients/rye-whiskey.html","9bee3265"],
["ingredients/simple-syrup-1-1-by-weight.html","857d57d4"],
["ingredients/soda-water.html","66e2dadc"],
["ingredients/sweet-red-vermouth.html","789efa6d"],
["ingredients/table-salt.html","e0af776e"],
["ingredients/tartaric-acid.html","7ecfe26a"],
["ingredients/tawny-port.html","82ffde9b"],
["ingredients/tequila-blanco.html","b584fd9e"],
["ingredients/tomato-juice.html","f9adcef1"],
["ingredients/tonic-water.html","856551e7"],
["ingredients/verjus.html","72f703ee"],
["ingredients/vodka.html","b5b8fe40"],
["ingredients/water.html","01989756"],
["ingredients/white-granulated-sugar.html","a685c659"],
["ingredients/white-rum.html","987b9ebb"],
["ingredients/white-vermouth.html","9bff251e"],
["ingredients/whole-milk.html","8af81516"],
["ingredients/xanthan-gum.html","8192d60a"],
["lists.js","21b6b86d"],
["manifest.webmanifest","00411aba"],
["mark.svg","330a5ab5"],
["media/cinder-path.png","d4216137"],
["media/ice-breaker.png","9eafb1a0"],
["media/lantern.png","532f5998"],
["media/number-nine.png","ead24ec6"],
["media/quince-cordial.png","680c56e9"],
["media/reed-cutter.png","189cc3c1"],
["media/regatta-bowl.png","4f3004e6"],
["media/towpath.png","a332599b"],
["media/trimmings-ferment.png","0f90d74f"],
["media/w400/cinder-path.jpg","03a3557e"],
["media/w400/ice-breaker.jpg","f4f8960f"],
["media/w400/lantern.jpg","7caa714e"],
["media/w400/number-nine.jpg","1133885e"],
["media/w400/quince-cordial.jpg","b53f1d0d"],
["media/w400/reed-cutter.jpg","ba932a33"],
["media/w400/regatta-bowl.jpg","d64e766d"],
["media/w400/towpath.jpg","b65843cf"],
["media/w400/trimmings-ferment.jpg","97fb7a74"],
["media/w400/white-swan.jpg","4ea8fca1"],
["media/white-swan.png","3f31db71"],
["pages.css","1c304750"],
["pages/about.html","d66efae7"],
["pages/glossary.html","ec90461f"],
["pages/house-rules.html","f996f37d"],
["pages/weekend-workshop.html","0fad15ba"],
["prep-map.html","f23c7da1"],
["recipes/almond-quay.html","515dda88"],
["recipes/apple-reduction.html","c5c895d1"],
["recipes/barge-cream.html","61e98eb6"],
["recipes/boathouse-bottle.html","556292df"],
["recipes/brass-lamp.html","4aa9ce4b"],
["recipes/bright-orange-juice.html","4368a6d7"],
["recipes/brown-butter-bourbon.html","b99e45c8"],
["recipes/chamomile-gin.html","47b0ff54"],
["recipes/cinder-path.html","e540e544"],
["recipes/citrus-sugar.html","715e4ebe"],
["recipes/clear-grapefruit-juice.html","f69d3560"],
["recipes/deckhand.html","03647824"],
["recipes/demerara-syrup.html","ca37a572"],
["recipes/dredger-swizzle.html","49b7ad99"],
["recipes/first-ferry.html","48cf8121"],
["recipes/frost-fair.html","7be805cd"],
["recipes/ginger-syrup.html","0f132bac"],
["recipes/honey-syrup.html","0ae8bfe9"],
["recipes/ice-breaker.html","0b6a6854"],
["recipes/iron-gate.html","eca7c393"],
["recipes/kingfisher.html","a2900e4a"],
["recipes/kitchen-garden.html","bbb51267"],
["recipes/lamp-syrup.html","c11741a9"],
["recipes/lamplighters-round.html","cf70f08d"],
["recipes/lime-cordial.html","0ef327af"],
["recipes/lock-keepers-lantern.html","c4d5b2ca"],
["recipes/lockside-daily.html","d95c9734"],
["recipes/night-boat.html","19d1b6c1"],
["recipes/number-nine.html","d307c30a"],
["recipes/orchard-row.html","aaec4f40"],
["recipes/pear-foam.html","cbc2944a"],
["recipes/pear-gate.html","43f46165"],
["recipes/pineapple-juice.html","3cf36987"],
["recipes/pressed-pear-juice.html","9bb4e864"],
["recipes/quay-tea.html","d515f8e8"],
["recipes/quince-cordial.html","7ae175f9"],
["recipes/quince-ice.html","2254171b"],
["recipes/raspberry-shrub.html","2cf9e5f6"],
["recipes/reed-cutter.html","f1287076"],
["recipes/regatta-bowl.html","2eed8850"],
["recipes/rich-syrup.html","65e2122a"],
["recipes/saline.html","4525933b"],
["recipes/schippers-second.html","2524a129"],
["recipes/sharp-pineapple-juice.html","eef89057"],
["recipes/slack-water.html","d669cbef"],
["recipes/snowmelt.html","0fc3e4b1"],
["recipes/still-reach.html","51277c3b"],
["recipes/still-water.html","f06d9abf"],
["recipes/storm-anchor.html","40d36720"],
["recipes/summer-raspberry-puree.html","291bc398"],
["recipes/the-sluice.html","901aca22"],
["recipes/the-weir.html","c3297175"],
["recipes/three-rung-ladder.html","a83f4468"],
["recipes/towpath.html","71fa4ff6"],
["recipes/trimmings-ferment.html","dd7af28b"],
["recipes/white-swan.html","dc8dca7d"],
["recipes/winter-mooring.html","cf72ea1a"],
["recipes/workshop-cup.html","fd638daf"],
["safety.html","1fe19a85"],
["scale.js","adcaca62"],
["site.css","d4842e75"],
["site.js","fa86511f"],
["work.js","817637ac"]];
const SHELF = "costrel";
const HASHES = new Map(FILES);
const key = (path) => new URL(path + "?" + HASHES.get(path), registration.scope).href;
async function fill() {
const shelf = await caches.open(SHELF);
const have = new Set((await shelf.keys()).map((request) => request.url));
const wanted = FILES.map(([path]) => path).filter((path) => !have.has(key(path)));
const fetchOne = async (path) => {
const response = await fetch(new URL(path, registration.scope), { cache: "no-cache" });
if (!response.ok) throw new Error(path);
await shelf.put(key(path), response);
};
const next = async () => {
for (let path = wanted.shift(); path !== undefined; path = wanted.shift()) await fetchOne(path);
};
await Promise.all([next(), next(), next(), next()]);
}
async function clear() {
const shelf = await caches.open(SHELF);
const wanted = new Set(FILES.map(([path]) => key(path)));
const old = (await shelf.keys()).filter((request) => !wanted.has(request.url));
await Promise.all(old.map((request) => shelf.delete(request)));
await clients.claim();
}
function pathOf(url) {
if (!url.href.startsWith(registration.scope)) return undefined;
const path = url.origin + url.pathname;
const below = path.slice(registration.scope.length);
return below === "" || below.endsWith("/") ? below + "index.html" : below;
}
async function answer(request, path) {
const shelf = await caches.open(SHELF);
if (HASHES.has(path)) {
const kept = await shelf.match(key(path));
if (kept) return kept;
}
try {
return await fetch(request);
} catch (error) {
if (request.mode === "navigate") return Response.redirect(new URL("404.html", registration.scope));
throw error;
}
}
addEventListener("install", (event) => event.waitUntil(fill()));
addEventListener("activate", (event) => event.waitUntil(clear()));
addEventListener("message", (event) => {
if (event.data === "newer") skipWaiting();
});
addEventListener("fetch", (event) => {
if (event.request.method !== "GET") return;
const path = pathOf(new URL(event.request.url));
if (path !== undefined) event.respondWith(answer(event.request, path));
});
