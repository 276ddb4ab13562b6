//! The least change that reaches the targets, on the true model: it is made linear where it stands, the solver takes the step,
//! the model is run again, until the computed figures are those wanted.
//!
//! A target on a concentration is put as (g − t)·V = 0 and not as g = t: masses add, so this is linear in the amounts but for
//! the contraction on mixing and what the processes do, and a handful of steps suffices. Where no point satisfies the
//! targets, those that are not `hard` are brought as near as they go, misses counted in [`Figure::grain`]s, and the least
//! change decides between equals.
//!
//! [`Figure::grain`]: super::Figure::grain

use super::model::{Model, Point, Slope};
use super::quadratic::Quadratic;
use super::target::Target;

/// Most steps. A handful is usual; a far target that is not linear takes about twenty.
const STEPS: usize = 60;
/// A step smaller than this share of a pour's scale ends the search.
const STILL: f64 = 1e-8;
/// Misses below this many grains are nothing: 0.000 05 % vol.
const NOTHING: f64 = 1e-4;
/// How far off a hard target may be put where targets hang together, as a share of what counts as reached.
const LOOSE: f64 = 0.5;
/// Least volume, as a share of the volume at the start: an empty glass would satisfy every concentration.
const LEAST_VOLUME: f64 = 0.02;
/// Least volume where that is possible. To pour less of everything is a small change by the measure of the design, to add
/// what is not there is a large one; so a drink that is to be longer would rather be made smaller.
const HALF: f64 = 0.5;
/// How little the change counts beside a miss while a target is out of reach.
const TIE: f64 = 1e-4;
/// A miss that shrinks by less than this share is as small as it gets.
const FLAT: f64 = 1e-6;

/// Where a search ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Amounts in multiples of the scales.
    pub y: Vec<f64>,
    /// The figures there.
    pub point: Point,
    /// The worst miss of a hard target, in grains.
    pub hard_miss: f64,
    /// The misses of the others, squared and summed, in grains.
    pub soft_miss: f64,
}

/// One search on a model.
pub struct Search<'a> {
    model: &'a Model<'a>,
    /// Which targets must come out; the others should.
    hard: &'a [bool],
    start: Vec<f64>,
    origin: Vec<f64>,
    sizes: Vec<f64>,
    volume: f64,
    /// Misses of hard targets below this many grains are nothing.
    nothing: f64,
    /// How far off each target may be put, in grains. A width, however small, lets targets that say the same thing stand
    /// together.
    bands: Vec<f64>,
    /// Least volume, as a share of the volume at the start.
    least: f64,
}

impl<'a> Search<'a> {
    /// A search from where the pours stand; `None` where a target's figure is not known there.
    pub fn new(model: &'a Model<'a>, hard: &'a [bool]) -> Option<Self> {
        let origin = model.start();
        let point = model.at(&origin)?;
        let sizes = point.sizes.iter().map(|s| s.max(f64::MIN_POSITIVE)).collect();
        Some(Self {
            model,
            hard,
            start: origin.clone(),
            origin,
            sizes,
            volume: point.volume,
            nothing: NOTHING,
            bands: vec![NOTHING * 1e-2; model.targets.len()],
            least: LEAST_VOLUME,
        })
    }

    /// Starts elsewhere; the change is still counted from where the pours stand.
    #[must_use]
    pub fn from(mut self, y: &[f64]) -> Self {
        self.start = y.to_vec();
        self
    }

    /// Keeps at least half of the volume.
    #[must_use]
    pub fn keeping_half(mut self) -> Self {
        self.least = HALF;
        self
    }

    /// Lets hard targets be off by half of what counts as reached: for targets that say nearly the same thing twice.
    #[must_use]
    pub fn loosely(mut self) -> Self {
        let band = |t: &Target| LOOSE * t.figure.tolerance(t.wanted) / t.figure.grain(t.wanted);
        self.bands = self.model.targets.iter().map(band).collect();
        self.nothing = self.bands.iter().copied().fold(f64::INFINITY, f64::min) * 1.5;
        self
    }

    /// Searches; always ends somewhere.
    pub fn run(&self) -> Option<Found> {
        let mut here = self.look(self.start.clone())?;
        let mut best = here.clone();
        let mut stalled = 0;
        for _ in 0..STEPS {
            let Some(slope) = self.model.slope(&here.y, &here.point) else { break };
            let Some(aim) = self.aim(&here, &slope) else { break };
            let Some((next, improved)) = self.step(&here, &aim) else { break };
            let moved = here.y.iter().zip(&next.y).map(|(a, b)| (a - b).abs() / (1.0 + a.abs())).fold(0.0, f64::max);
            let flat = self.flat(&here, &next);
            here = next;
            if !self.worse(&here, &best) {
                best = here.clone();
            }
            stalled = if improved { 0 } else { stalled + 1 };
            if moved <= STILL || flat || stalled > 3 {
                break;
            }
        }
        Some(self.tidy(best))
    }

    fn look(&self, y: Vec<f64>) -> Option<Found> {
        let point = self.model.at(&y)?;
        let (mut hard_miss, mut soft_miss) = (0.0_f64, 0.0);
        for (i, target) in self.model.targets.iter().enumerate() {
            let miss = target.miss(point.values[i]) / target.figure.grain(target.wanted);
            if self.hard[i] {
                hard_miss = hard_miss.max(miss);
            } else {
                soft_miss += miss * miss;
            }
        }
        Some(Found { y, point, hard_miss, soft_miss })
    }

    /// Whether the targets out of reach came no nearer, with the others where they should be.
    fn flat(&self, here: &Found, next: &Found) -> bool {
        let settled = here.hard_miss.max(next.hard_miss) <= 10.0 * self.nothing;
        let soft = self.hard.iter().any(|h| !h);
        soft && settled && (here.soft_miss - next.soft_miss).abs() <= FLAT * here.soft_miss
    }

    fn change(&self, y: &[f64]) -> f64 {
        let terms = self.model.varied().zip(y.iter().zip(&self.origin));
        terms.map(|(p, (y, o))| p.weight.unwrap_or(1.0) * (y - o) * (y - o)).sum()
    }

    /// Whether `a` is clearly worse than `b`: first by the hard targets, then by the others, then by how much is changed.
    fn worse(&self, a: &Found, b: &Found) -> bool {
        if a.hard_miss.max(b.hard_miss) > self.nothing {
            return a.hard_miss > b.hard_miss;
        }
        if (a.soft_miss - b.soft_miss).abs() > 1e-6 * (a.soft_miss + b.soft_miss) {
            return a.soft_miss > b.soft_miss;
        }
        // Between two that both arrived, the later one is nearer to the least change.
        false
    }

    /// Where the linear model would go from here: hard targets as such if they can be met together, else as near as they go.
    fn aim(&self, here: &Found, slope: &Slope) -> Option<Vec<f64>> {
        self.programme(here, slope, true).solve().or_else(|| self.programme(here, slope, false).solve())
    }

    fn programme(&self, here: &Found, slope: &Slope, firm: bool) -> Quadratic {
        let far = self.hard.iter().any(|h| !h) || !firm;
        // While a target is out of reach, its misses count and the change only breaks ties; both relative to what they are now.
        let miss_now = here.soft_miss + if firm { 0.0 } else { here.hard_miss * here.hard_miss };
        let (miss_weight, change_weight) =
            if far { (1.0 / miss_now.max(NOTHING), TIE / (1.0 + self.change(&here.y))) } else { (1.0, 1.0) };
        let mut programme = Quadratic {
            cost: self.model.varied().map(|p| change_weight * p.weight.unwrap_or(1.0)).collect(),
            origin: self.origin.clone(),
            ..Quadratic::default()
        };
        for (pour, y) in self.model.varied().zip(&here.y) {
            // A soft target is not linear far off, so a step may do no more than about treble a pour.
            let reach = if far { 2.0 * y + 2.0 } else { f64::INFINITY };
            programme.low.push((pour.low / pour.scale).max(y - reach));
            programme.high.push((pour.high / pour.scale).min(y + reach));
        }
        let dot = |row: &[f64]| row.iter().zip(&here.y).map(|(a, y)| a * y).sum::<f64>();
        let mut volumed = false;
        for (i, target) in self.model.targets.iter().enumerate() {
            let grain = target.figure.grain(target.wanted);
            let off = (here.point.values[i] - target.wanted) / grain;
            volumed |= target.figure == super::Figure::Volume;
            if self.hard[i] {
                let size = here.point.sizes[i] / self.sizes[i];
                let row: Vec<f64> = (slope.values[i].iter().zip(&slope.sizes[i]))
                    .map(|(g, s)| g / grain * size + off * s / self.sizes[i])
                    .collect();
                let right = dot(&row) - off * size;
                if firm {
                    programme.hard.push((row, right, self.bands[i]));
                } else {
                    programme.soft.push((row, right, miss_weight));
                }
            } else {
                let row: Vec<f64> = slope.values[i].iter().map(|g| g / grain).collect();
                let right = dot(&row) - off;
                programme.soft.push((row, right, miss_weight));
            }
        }
        if !volumed {
            let row: Vec<f64> = slope.volume.iter().map(|v| v / self.volume.max(f64::MIN_POSITIVE)).collect();
            let right = self.least - here.point.volume / self.volume.max(f64::MIN_POSITIVE) + dot(&row);
            programme.above.push((row, right));
        }
        programme
    }

    /// Goes as far towards the aim as makes things better. Where nothing does, a short step is taken all the same: a model
    /// with a jump in it, such as two relations that meet at a strength, may only get better beyond it.
    fn step(&self, here: &Found, aim: &[f64]) -> Option<(Found, bool)> {
        let mut share = 1.0;
        let mut last = None;
        for _ in 0..8 {
            let y: Vec<f64> = here
                .y
                .iter()
                .zip(aim)
                .zip(self.model.varied())
                .map(|((from, to), p)| (from + share * (to - from)).clamp(p.low / p.scale, p.high / p.scale))
                .collect();
            if let Some(next) = self.look(y) {
                if self.better(&next, here) {
                    return Some((next, true));
                }
                last = Some(next);
            }
            share *= 0.5;
        }
        last.map(|found| (found, false))
    }

    fn better(&self, next: &Found, here: &Found) -> bool {
        if next.hard_miss > self.nothing {
            return next.hard_miss < 0.95 * here.hard_miss;
        }
        if here.hard_miss > self.nothing {
            return true;
        }
        if self.hard.iter().all(|h| *h) {
            return true;
        }
        next.soft_miss < here.soft_miss * (1.0 - 1e-9)
            || (next.soft_miss <= here.soft_miss * (1.0 + 1e-9) && self.change(&next.y) < self.change(&here.y))
    }

    /// Puts what is a hair from a bound on it, and what hardly moved back, unless that spoils the figures.
    fn tidy(&self, found: Found) -> Found {
        const HAIR: f64 = 1e-6;
        let near = |y: f64, to: f64| (y - to).abs() <= HAIR * (1.0 + to.abs());
        let y = found
            .y
            .iter()
            .zip(self.model.varied())
            .zip(&self.origin)
            .map(|((y, p), origin)| {
                [*origin, p.low / p.scale, p.high / p.scale].into_iter().find(|to| near(*y, *to)).unwrap_or(*y)
            })
            .collect();
        match self.look(y) {
            Some(tidied) if tidied.hard_miss <= found.hard_miss.max(NOTHING * 10.0) => tidied,
            _ => found,
        }
    }
}
