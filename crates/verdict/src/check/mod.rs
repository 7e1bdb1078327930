//! The checks: one file each, one line each in the lists below.

use crate::context::Context;
use crate::finding::{Finding, HandCheck, Need};
use crate::parts::PartRef;
use at_most::Own;
use quantity::Kind;
use rig::policy::CheckId;
use shares::{Along, Shares};

pub mod at_most;
mod balance;
mod bolt_ring;
mod boom_bolts;
mod boom_sag;
mod boom_stress;
mod clamp_slip;
mod clash;
mod clearance;
mod cup_fit;
mod cup_rating;
mod cup_seal;
mod cup_slip;
mod cup_vacuum;
pub mod cups;
mod drive_torque;
mod force_check;
mod frequency;
mod held;
mod leg_bolts;
mod mast_sway;
mod once;
mod panel_load;
pub(crate) mod power;
pub mod reserve;
pub mod retention;
pub mod second_order;
pub mod shares;
mod solid;
mod stable;
mod strap_edges;
mod strap_load;
mod strap_taut;
mod tube_stress;
mod vehicle;

pub use held::Held;

/// Where a swept check's numbers come from in a state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// Rows of the responses, from `start`, `len` of them.
    Rows {
        /// First row.
        start: usize,
        /// How many (at most 6).
        len: usize,
    },
    /// Torque of the pan drive, N m.
    PanTorque,
    /// Torque of the tilt drive, N m.
    TiltTorque,
    /// Forces in a cut of the boom.
    Cut(usize),
}

/// One thing that a swept check looks at.
#[derive(Clone, Debug)]
pub struct Item {
    /// The part.
    pub part: PartRef,
    /// More of where, in words.
    pub place: String,
    /// Its numbers.
    pub source: Source,
    /// What stops it from being checked.
    pub missing: Option<Need>,
    /// Numbers of the check's own.
    pub data: [f64; 8],
}

impl Item {
    /// A thing with its numbers.
    pub fn new(part: PartRef, source: Source, data: [f64; 8]) -> Self {
        Self { part, place: String::new(), source, missing: None, data }
    }

    /// A thing that a missing fact stops.
    pub fn missing(part: PartRef, source: Source, need: Need) -> Self {
        Self { missing: Some(need), ..Self::new(part, source, [0.0; 8]) }
    }
}

/// Which way a number of a source is bad for a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// It does not look at it.
    Idle,
    /// The greater, the worse.
    Up,
    /// The less, the worse.
    Down,
    /// The farther from zero, either way, the worse.
    Size,
}

/// Stations of a tube's member that are looked at together, at most.
pub const ALONG: usize = 3;

/// States that are reckoned together.
pub(crate) const LANES: usize = 32;
/// Of them side by side: as many as the widest machine takes at once.
const STEP: usize = 8;

/// A check over every state: demand and capacity from a few numbers of the state.
///
/// `r` holds the [`Source`]'s numbers of one state (as many as the source has, at most 6).
pub trait Swept: Sync {
    /// Which check.
    fn id(&self) -> CheckId;
    /// What demand and capacity measure.
    fn kind(&self) -> Kind;
    /// The things that it looks at.
    fn items(&self) -> &[Item];
    /// Demand and capacity in one state, required factor left out.
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64);
    /// Which way each number is bad: demand over capacity never falls on the way there, whatever the others are. So a span of
    /// numbers is no worse than its corner.
    fn worse(&self) -> [Side; 6];
    /// The same by hand.
    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck;
    /// Does it only inform, so that it cannot fail?
    fn informs(&self) -> bool {
        false
    }
    /// For a check that only informs: what to say of the worst state's numbers.
    fn note(&self, _item: &Item, _r: &[f64; 6]) -> Option<String> {
        None
    }

    /// Demand over capacity in the first `n` of some states, row by row.
    fn uses_of(&self, item: &Item, rows: [&[f64; LANES]; 6], n: usize) -> Uses {
        pulp::Arch::new().dispatch(Looking { check: self, item, rows, n })
    }

    /// The most that demand over capacity can be in some poses and instants; anything up to `over` where it is no more than that.
    fn at_most(&self, item: &Item, shares: Shares<'_>, _over: f64) -> f64 {
        shares.most(Own { check: self, item, wide: shares.wide })
    }

    /// The same or a little more, in a shorter time.
    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        self.at_most(item, shares, f64::NEG_INFINITY)
    }

    /// The same for items at some stations of a tube's member, all at once; `shares` are the first item's, the others follow from
    /// it. Infinite, which says nothing, where the check reads no stations or there are too many.
    fn quickly_along(&self, _first: (&Item, Shares<'_>), _others: &[(&Item, Along<'_>)]) -> [f64; ALONG] {
        [f64::INFINITY; ALONG]
    }
}

/// Demand over capacity in some states.
pub struct Uses {
    /// In each; minus infinity where there is no state.
    pub each: [f64; LANES],
    /// The most of them, [`coarse`].
    pub most: f64,
}

/// A look over some states, for the widest numbers side by side that the machine has.
struct Looking<'a, C: ?Sized> {
    check: &'a C,
    item: &'a Item,
    rows: [&'a [f64; LANES]; 6],
    n: usize,
}

impl<C: Swept + ?Sized> pulp::WithSimd for Looking<'_, C> {
    type Output = Uses;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> Uses {
        let [a, b, c, d, e, f] = self.rows;
        let n = self.n.min(LANES);
        let whole = n.next_multiple_of(STEP).min(LANES);
        let mut each = [f64::NEG_INFINITY; LANES];
        for k in 0..whole {
            let (demand, capacity) =
                self.check.demand_capacity(self.item, &[a[k], b[k], c[k], d[k], e[k], f[k]]);
            each[k] = utilisation(demand, capacity);
        }
        each[n..].fill(f64::NEG_INFINITY);
        // Uses are none or numbers, never lost ones.
        let mut most = [f64::NEG_INFINITY; STEP];
        let (steps, _) = each.as_chunks::<STEP>();
        for step in steps {
            for (most, u) in most.iter_mut().zip(step) {
                *most = if *u > *most { *u } else { *most };
            }
        }
        Uses { each, most: coarse(most.into_iter().fold(f64::NEG_INFINITY, f64::max)) }
    }
}

/// A number less its last 21 bits, a part in 2e9: what differs by less is equal, so that the rounding of one machine or another
/// does not choose between states that are alike.
#[inline(always)]
pub(crate) fn coarse(utilisation: f64) -> f64 {
    f64::from_bits(utilisation.to_bits() & !0x1F_FFFF)
}

/// Demand over capacity; a lost number or no capacity counts as infinite, nothing asked as zero. Without a branch, so that
/// states can be taken side by side.
#[inline(always)]
pub fn utilisation(demand: f64, capacity: f64) -> f64 {
    let used = demand / capacity;
    let used = if used.is_nan() { f64::INFINITY } else { used };
    let used = if capacity <= 0.0 { f64::INFINITY } else { used };
    if (demand <= 0.0) & !capacity.is_nan() { 0.0 } else { used }
}

/// All checks that sweep.
pub fn swept(ctx: &Context<'_>) -> Vec<Box<dyn Swept>> {
    vec![
        Box::new(cup_seal::CupSeal::of(ctx)),
        Box::new(cup_slip::CupSlip::of(ctx)),
        Box::new(cup_rating::cup_pull(ctx)),
        Box::new(cup_rating::cup_shear(ctx)),
        Box::new(panel_load::panel_pull(ctx)),
        Box::new(panel_load::panel_push(ctx)),
        Box::new(tube_stress::TubeStress::of(ctx)),
        Box::new(clamp_slip::clamp_slip(ctx)),
        Box::new(clamp_slip::leg_slip(ctx)),
        Box::new(leg_bolts::LegBolts::of(ctx)),
        Box::new(strap_load::strap_load(ctx)),
        Box::new(strap_taut::StrapTaut::of(ctx)),
        Box::new(mast_sway::mast_sway(ctx)),
        Box::new(drive_torque::tilt(ctx)),
        Box::new(drive_torque::pan(ctx)),
        Box::new(boom_stress::BoomStress::of(ctx)),
        Box::new(boom_bolts::BoomBolts::of(ctx)),
    ]
}

/// A check that needs one look.
pub type Once = fn(&Context<'_>) -> Vec<Finding>;

/// All checks that need one look.
pub const ONCE: &[Once] = &[
    stable::check,
    cup_fit::check,
    cup_vacuum::check,
    vehicle::roof_load,
    vehicle::gross_mass,
    vehicle::axle_load,
    vehicle::rollover,
    clearance::height,
    boom_sag::check,
    |ctx| power::voltage(ctx.rig),
    |ctx| power::current(ctx.rig),
    |ctx| power::run_time(ctx.rig),
];

/// What only informs, so that no assumed value decides by it: not asked again when one is varied.
pub const INFORM: &[Once] = &[balance::check, frequency::check];

/// Checks of the geometry alone, which no assumed value changes: not asked again when one is varied.
pub const GEOMETRY: &[Once] = &[clearance::gaps, clash::check, strap_edges::check];
