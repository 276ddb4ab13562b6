const EDITION = "0ba273b0";
const FILES = [["404.html","d9a986ae"],
["allergens.html","f21c3ec3"],
["balance-map.html","f1ac306a"],
["chapters/hot-and-cold.html","f71210a1"],
["chapters/infusions-and-foams.html","d29cf151"],
["chapters/juices-and-ferments.html","3461f19b"],
["chapters/low-and-none.html","bc0df211"],
["chapters/punch-bowl.html","7e918536"],
["chapters/shaken.html","a43e740e"],
["chapters/stirred.html","fc1de807"],
["chapters/syrups-and-cordials.html","dce4d4a8"],
["chapters/tall.html","50d7f51a"],
["chapters/workshop.html","580c7c07"],
["find.html","345209b1"],
["find.js","0e54ce99"],
["house.html","5d76d11e"],
["icon-192.png","ed2922eb"],
["icon-512.png","fbc1c9b4"],
["index.html","2734717d"],
["index.js","dd7e9d2e"],
["ingredients/absinthe.html","87995d0a"],
["ingredients/agave-nectar.html","c4007029"],
["ingredients/aged-rum.html","583d1b46"],
["ingredients/agricole-cane-juice-rum.html","7df34a4d"],
["ingredients/amaro.html","529f55a2"],
["ingredients/apple-brandy.html","f6fb5b41"],
["ingredients/aquavit.html","69f54a1d"],
["ingredients/aromatic-bitters.html","91bd44d6"],
["ingredients/blended-scotch-whisky.html","ae424c37"],
["ingredients/bourbon-whiskey.html","c659e4bc"],
["ingredients/brandy.html","cf64ae51"],
["ingredients/brewed-black-tea.html","80a796da"],
["ingredients/brown-butter.html","b2905d14"],
["ingredients/brut-sparkling-wine.html","9bf9bc19"],
["ingredients/caster-sugar.html","e1c50748"],
["ingredients/celery-bitters.html","df839253"],
["ingredients/ceylon-cinnamon.html","3b468ae7"],
["ingredients/cider-vinegar.html","f532b5df"],
["ingredients/citric-acid.html","56f66025"],
["ingredients/cloudy-apple-juice.html","80e200bc"],
["ingredients/coffee-liqueur.html","56bf1afa"],
["ingredients/cold-brew-coffee.html","3dd09498"],
["ingredients/demerara-sugar.html","7d09074a"],
["ingredients/double-cream.html","321ada2e"],
["ingredients/dried-chamomile.html","bd38dc16"],
["ingredients/dry-cider.html","12d15c35"],
["ingredients/dry-oloroso-sherry.html","3312267d"],
["ingredients/dry-vermouth.html","f66a869e"],
["ingredients/egg-white.html","8c3b3af8"],
["ingredients/egg.html","40bd2277"],
["ingredients/elderflower-cordial.html","14bd20a8"],
["ingredients/elderflower-liqueur.html","1d8dbf5f"],
["ingredients/espresso.html","83835add"],
["ingredients/evaporated-milk.html","70cd9cc3"],
["ingredients/falernum.html","bc5b2692"],
["ingredients/fino-sherry.html","cd4cd111"],
["ingredients/fresh-grapefruit-juice.html","51d6a503"],
["ingredients/fresh-lemon-juice.html","fd0afc13"],
["ingredients/fresh-lime-juice.html","7b6dd38a"],
["ingredients/fresh-orange-juice.html","e991e590"],
["ingredients/gin.html","4abec3a7"],
["ingredients/ginger-beer.html","5afeafde"],
["ingredients/ginger-juice.html","f3c0a535"],
["ingredients/golden-syrup.html","a7f3c5e8"],
["ingredients/honey.html","434f4d58"],
["ingredients/hot-chilli-sauce.html","0f984e0a"],
["ingredients/ice.html","ed3756ec"],
["ingredients/index.html","48b57021"],
["ingredients/lemon.html","40f343ad"],
["ingredients/lime.html","0bae60fc"],
["ingredients/loose-black-tea.html","34e24df2"],
["ingredients/malic-acid.html","cce302ea"],
["ingredients/malt-genever.html","727c2b74"],
["ingredients/maple-syrup.html","0412bcd2"],
["ingredients/maraschino-liqueur.html","256021a9"],
["ingredients/mezcal.html","ce1e284b"],
["ingredients/mint.html","6610ebb6"],
["ingredients/navy-strength-gin.html","8e9bada3"],
["ingredients/old-tom-gin.html","4548b2e0"],
["ingredients/orange-bitters.html","983fc778"],
["ingredients/orgeat.html","d35ea868"],
["ingredients/overproof-rum.html","dde5d9d2"],
["ingredients/pear-core.html","32260baa"],
["ingredients/pear-eau-de-vie.html","5c8127b9"],
["ingredients/pear-peel.html","961c7ec4"],
["ingredients/pear.html","edfc4cdf"],
["ingredients/peated-single-malt-whisky.html","118efcb4"],
["ingredients/pineapple.html","ae3ae5b2"],
["ingredients/premium-dry-triple-sec.html","f4c17229"],
["ingredients/quince-juice.html","575cd734"],
["ingredients/raspberry.html","1643c017"],
["ingredients/red-bitter-aperitif.html","42a208f9"],
["ingredients/rye-whiskey.html","4311a3c1"],
["ingredients/simple-syrup-1-1-by-weight.html","a1a92ab0"],
["ingredients/soda-water.html","d6fcb1f6"],
["ingredients/sweet-red-vermouth.html","a39829bb"],
["ingredients/table-salt.html","fbdef6d1"],
["ingredients/tartaric-acid.html","b3d8d7d8"],
["ingredients/tawny-port.html","e13af9b2"],
["ingredients/tequila-blanco.html","1a42a01f"],
["ingredients/tomato-juice.html","ad7bdeaa"],
["ingredients/tonic-water.html","9592f037"],
["ingredients/verjus.html","bb16cc3c"],
["ingredients/vodka.html","1a520cac"],
["ingredients/water.html","a0df792f"],
["ingredients/white-granulated-sugar.html","62c716c3"],
["ingredients/white-rum.html","2fa40524"],
["ingredients/white-vermouth.html","b00f49d8"],
["ingredients/whole-milk.html","795e9f61"],
["ingredients/xanthan-gum.html","396ec22f"],
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
["pages/about.html","5e8eda93"],
["pages/glossary.html","9f5c99a7"],
["pages/house-rules.html","bb6f32e8"],
["pages/weekend-workshop.html","3ed06563"],
["prep-map.html","9803221e"],
["recipes/almond-quay.html","22f4cbee"],
["recipes/apple-reduction.html","113374e2"],
["recipes/barge-cream.html","1b81ff30"],
["recipes/boathouse-bottle.html","87c928ee"],
["recipes/brass-lamp.html","28ee5495"],
["recipes/bright-orange-juice.html","56e9f51f"],
["recipes/brown-butter-bourbon.html","7b892bd7"],
["recipes/chamomile-gin.html","477bd753"],
["recipes/cinder-path.html","05d58158"],
["recipes/citrus-sugar.html","31eb04b9"],
["recipes/clear-grapefruit-juice.html","3a8ca646"],
["recipes/deckhand.html","fa41f968"],
["recipes/demerara-syrup.html","4ab82a98"],
["recipes/dredger-swizzle.html","c5bf5a9c"],
["recipes/first-ferry.html","c4739003"],
["recipes/frost-fair.html","0783e4fd"],
["recipes/ginger-syrup.html","78e75c91"],
["recipes/honey-syrup.html","8fd91578"],
["recipes/ice-breaker.html","0d843272"],
["recipes/iron-gate.html","2166c681"],
["recipes/kingfisher.html","7cb4b3c8"],
["recipes/kitchen-garden.html","0c593ce9"],
["recipes/lamp-syrup.html","b01600a3"],
["recipes/lamplighters-round.html","c243a2bc"],
["recipes/lime-cordial.html","37f1b8e5"],
["recipes/lock-keepers-lantern.html","6264bc0b"],
["recipes/lockside-daily.html","4e071f8d"],
["recipes/night-boat.html","c94a2383"],
["recipes/number-nine.html","1d182841"],
["recipes/orchard-row.html","af02f9bb"],
["recipes/pear-foam.html","888d8239"],
["recipes/pear-gate.html","7e7bcb04"],
["recipes/pineapple-juice.html","9c7b992a"],
["recipes/pressed-pear-juice.html","14766875"],
["recipes/quay-tea.html","f26af838"],
["recipes/quince-cordial.html","4c7e3ed0"],
["recipes/quince-ice.html","a73792b9"],
["recipes/raspberry-shrub.html","b2c85083"],
["recipes/reed-cutter.html","060bd7aa"],
["recipes/regatta-bowl.html","fb73827f"],
["recipes/rich-syrup.html","514d4417"],
["recipes/saline.html","21b7a1da"],
["recipes/schippers-second.html","e161b97a"],
["recipes/sharp-pineapple-juice.html","e1dfa0d4"],
["recipes/slack-water.html","46b7065c"],
["recipes/snowmelt.html","0efa694a"],
["recipes/still-reach.html","a9d35bbc"],
["recipes/still-water.html","57944d04"],
["recipes/storm-anchor.html","33d8f1b2"],
["recipes/summer-raspberry-puree.html","38c2c64c"],
["recipes/the-sluice.html","660fdbe6"],
["recipes/the-weir.html","dde2df5f"],
["recipes/three-rung-ladder.html","d3310a28"],
["recipes/towpath.html","536a6c12"],
["recipes/trimmings-ferment.html","d3a8bb8b"],
["recipes/white-swan.html","2df49e96"],
["recipes/winter-mooring.html","8e76998b"],
["recipes/workshop-cup.html","ae306514"],
["safety.html","dbb558db"],
["scale.js","adcaca62"],
["site.css","fba3d8fb"],
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
