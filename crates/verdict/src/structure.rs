//! A rig as a frame, and what each node, member, support and strand of the frame stands for.

use crate::parts::PartRef;
use glam::DVec3;
use mechanics::frame::beam;
use mechanics::frame::section::RoundTube;
use mechanics::frame::{
    Beam, Frame, Freedom, Joint, JointKind, Lost, Member, PointMass, Strand, StrandPoint, Support,
};
use mechanics::wrench::Wrench;
use rig::model::{ClampKind, Hold, Platform, Rig, Section, StrapKind};
use std::borrow::Cow;

/// Stations of a tube nearer to each other than this share a node, m; what stands there keeps its exact offset.
const SAME_STATION_M: f64 = 1e-3;

/// How the frame is to be built.
#[derive(Clone, Copy, Debug, Default)]
pub struct BuildOptions {
    /// Leave shear deformation out (Euler-Bernoulli members), to compare with programs that do.
    pub slender: bool,
}

/// A tube's stations and members.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TubeMap {
    /// Nodes in order from end `a`, with the distance along the tube.
    pub stations: Vec<(f64, usize)>,
    /// Members between them.
    pub members: Vec<usize>,
    /// Whether the first and the last station carry nothing but the tube itself.
    pub free: [bool; 2],
}

/// A tube's member.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubeMember {
    /// Index in the frame.
    pub member: usize,
    /// Its first end's distance along the tube, m.
    pub from_m: f64,
    /// Whether its first and its last end is a free end of the tube.
    pub free: [bool; 2],
}

impl TubeMap {
    /// Its members in order.
    pub fn in_order(&self) -> impl Iterator<Item = TubeMember> + '_ {
        let last = self.members.len().saturating_sub(1);
        self.members.iter().zip(&self.stations).enumerate().map(move |(k, (member, (from_m, _)))| {
            TubeMember {
                member: *member,
                from_m: *from_m,
                free: [self.free[0] && k == 0, self.free[1] && k == last],
            }
        })
    }
}

/// One jaw: where a clamp or a leg's foot holds a tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jaw {
    /// The clamp or leg.
    pub part: PartRef,
    /// Index of the tube.
    pub tube: usize,
    /// The tube's node there.
    pub node: usize,
    /// The tube's axes, along it first.
    pub axes: [DVec3; 3],
}

/// Where a leg meets its platform, and what it weighs between there and its foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LegTop {
    /// Its top, m.
    pub at: DVec3,
    /// The platform's own axes.
    pub axes: [DVec3; 3],
    /// kg.
    pub mass_kg: f64,
}

/// The frame and its map.
#[derive(Clone, Debug, PartialEq)]
pub struct Structure {
    /// The frame.
    pub frame: Frame,
    /// What each node belongs to.
    pub owner: Vec<PartRef>,
    /// Contact node of each cup; its support has the cup's index.
    pub cup_node: Vec<usize>,
    /// Tubes.
    pub tubes: Vec<TubeMap>,
    /// Node of each platform at its top centre.
    pub platform_node: Vec<usize>,
    /// Jaws on tubes: two for a clamp, one for a leg.
    pub jaws: Vec<Jaw>,
    /// Top of each leg.
    pub leg_top: Vec<LegTop>,
    /// For each strap, its strand; tethers hang slack and have none.
    pub strand_of: Vec<Option<usize>>,
    /// Items' nodes.
    pub item_node: Vec<usize>,
    /// Joint of each cup's free head.
    free_head: Vec<Option<usize>>,
    /// Known actions on tube nodes besides their members and their jaw: see [`Structure::known_on`].
    on_node: Vec<OnNode>,
}

/// Something that a tube node carries directly.
#[derive(Clone, Copy, Debug, PartialEq)]
enum OnNode {
    Cup { cup: usize, node: usize },
    StrandPoint { strand: usize, point: usize, node: usize },
}

impl OnNode {
    fn node(self) -> usize {
        match self {
            Self::Cup { node, .. } | Self::StrandPoint { node, .. } => node,
        }
    }
}

/// A platform's own axes: along, across, out of its top.
pub fn platform_axes(platform: &Platform) -> [DVec3; 3] {
    [platform.along, platform.normal.cross(platform.along), platform.normal]
}

/// Beam of a round section.
pub fn beam_of(section: &Section, options: BuildOptions) -> Option<Beam> {
    let tube = RoundTube::new(section.outer, section.wall).ok()?;
    let m = &section.material;
    let nu = (m.e_pa / (2.0 * m.g_pa) - 1.0).clamp(0.0, 0.5);
    let kappa = tube.shear_coefficient(nu).ok()?;
    Some(Beam {
        e_pa: m.e_pa,
        g_pa: m.g_pa,
        area_m2: tube.area_m2(),
        iy_m4: tube.inertia_m4(),
        iz_m4: tube.inertia_m4(),
        j_m4: tube.torsion_m4(),
        shear_area_m2: (!options.slender).then(|| kappa * tube.area_m2()),
        density_kg_m3: m.density,
    })
}

struct Builder<'a> {
    rig: &'a Rig,
    options: BuildOptions,
    s: Structure,
}

impl Structure {
    /// Builds the frame of a rig. The arm is not in it: it acts at its platform's node.
    pub fn new(rig: &Rig, options: BuildOptions) -> Self {
        let mut b = Builder {
            rig,
            options,
            s: Self {
                frame: Frame::default(),
                owner: Vec::new(),
                cup_node: Vec::new(),
                tubes: Vec::new(),
                platform_node: Vec::new(),
                jaws: Vec::new(),
                leg_top: Vec::new(),
                strand_of: Vec::new(),
                item_node: Vec::new(),
                free_head: Vec::new(),
                on_node: Vec::new(),
            },
        };
        b.tubes();
        b.platforms();
        b.cups();
        b.clamps();
        b.legs();
        b.straps();
        b.items();
        b.free_ends();
        b.s
    }

    /// The losses of the frame that a lost part stands for; `None` where losing it changes nothing (a slack tether).
    pub fn lost(&self, part: PartRef) -> Option<Lost> {
        match part {
            PartRef::Cup(i) => Some(Lost::Support(i)),
            PartRef::Strap(i) => self.strand_of.get(i).copied().flatten().map(Lost::Strand),
            _ => None,
        }
    }

    /// The frame to solve with parts lost: a lost cup that dangles from a free head is no mechanism of the rig, so its head
    /// is taken as stuck.
    pub fn frame_without(&self, lost: &[Lost]) -> Cow<'_, Frame> {
        let mut frame = Cow::Borrowed(&self.frame);
        for gone in lost {
            // A support has its cup's index.
            if let Lost::Support(cup) = gone
                && let Some(Some(joint)) = self.free_head.get(*cup)
            {
                frame.to_mut().joints[*joint].kind = JointKind::Rigid;
            }
        }
        frame
    }

    /// The wrench that a jaw gives to its tube's node, world axes about the node: what the members there ask for, less what
    /// cups, straps, lumps and loads give.
    pub fn jaw_wrench(
        &self,
        jaw: &Jaw,
        solution: &mechanics::frame::Solution<'_>,
        case: usize,
        load: &mechanics::frame::Load,
    ) -> Wrench {
        solution.on_members(case, jaw.node) - self.known_on(jaw.node, solution, case, load)
    }

    /// What cups, straps, lumps and nodal loads give to a tube's node.
    fn known_on(
        &self,
        node: usize,
        solution: &mechanics::frame::Solution<'_>,
        case: usize,
        load: &mechanics::frame::Load,
    ) -> Wrench {
        let frame = &self.frame;
        let at = frame.nodes[node];
        let mut sum = Wrench::ZERO;
        for on in self.on_node.iter().filter(|o| o.node() == node) {
            match *on {
                OnNode::Cup { cup, .. } => {
                    let contact = self.cup_node[cup];
                    let axes = frame.supports[cup].axes;
                    let f = solution.support(case, cup);
                    let out = |v: [f64; 3]| axes[0] * v[0] + axes[1] * v[1] + axes[2] * v[2];
                    let w = Wrench::new(out([f[0], f[1], f[2]]), out([f[3], f[4], f[5]]));
                    sum += w.about(frame.nodes[contact], at);
                    for m in frame.masses.iter().filter(|m| m.node == contact) {
                        sum += Wrench::of_force_at(load.specific_force * m.mass_kg, m.at - at);
                    }
                }
                OnNode::StrandPoint { strand, point, .. } => {
                    let s = &frame.strands[strand];
                    let pull = solution.tension(case, strand);
                    sum += Wrench::of_force_at(-s.gradient()[point] * pull, s.path[point].at - at);
                }
            }
        }
        for m in frame.masses.iter().filter(|m| m.node == node) {
            sum += Wrench::of_force_at(load.specific_force * m.mass_kg, m.at - at);
        }
        for (n, w) in load.nodal.iter().filter(|(n, _)| *n == node) {
            sum += w.about(frame.nodes[*n], at);
        }
        sum
    }
}

impl Builder<'_> {
    fn node(&mut self, at: DVec3, owner: PartRef) -> usize {
        self.s.owner.push(owner);
        self.s.frame.node(at)
    }

    fn rigid(&mut self, a: usize, b: usize) {
        self.s.frame.joints.push(Joint { a, b, kind: JointKind::Rigid });
    }

    fn lump(&mut self, node: usize, mass_kg: f64, at: DVec3) {
        if mass_kg > 0.0 {
            self.s.frame.masses.push(PointMass { node, mass_kg, at });
        }
    }

    /// Every place along tube `t` where something is fixed, ends included, merged within a millimetre.
    fn places(&self, t: usize) -> Vec<f64> {
        let rig = self.rig;
        let length = rig.tubes[t].length();
        let mut s = vec![0.0, length];
        let held = |h: &Hold| match h {
            Hold::Tube { tube, s } if *tube == t => Some(*s),
            _ => None,
        };
        s.extend(rig.cups.iter().filter_map(|c| held(&c.holds)));
        s.extend(
            rig.clamps.iter().flat_map(|c| [c.first, c.second]).filter(|(i, _)| *i == t).map(|(_, s)| s),
        );
        s.extend(rig.legs.iter().map(|l| l.foot).filter(|(i, _)| *i == t).map(|(_, s)| s));
        s.extend(rig.straps.iter().flat_map(|p| &p.path).filter_map(|p| held(&p.on)));
        s.extend(rig.items.iter().filter_map(|i| held(&i.on)));
        for v in &mut s {
            *v = v.clamp(0.0, length);
        }
        s.sort_by(f64::total_cmp);
        s.dedup_by(|b, a| *b - *a < SAME_STATION_M);
        // The far end keeps its exact place.
        if let Some(last) = s.last_mut() {
            *last = length;
        }
        s
    }

    fn tubes(&mut self) {
        for (t, tube) in self.rig.tubes.iter().enumerate() {
            let mut map = TubeMap::default();
            for s in self.places(t) {
                let node = self.node(tube.point(s), PartRef::Tube(t));
                map.stations.push((s, node));
            }
            if let Some(beam) = beam_of(&tube.section, self.options) {
                for pair in map.stations.windows(2) {
                    self.s.frame.members.push(Member { i: pair[0].1, j: pair[1].1, beam, up: DVec3::Z });
                    map.members.push(self.s.frame.members.len() - 1);
                }
            }
            self.s.tubes.push(map);
        }
    }

    fn station(&self, tube: usize, s: f64) -> usize {
        let stations = self.s.tubes.get(tube).map_or(&[][..], |m| &m.stations[..]);
        stations
            .iter()
            .min_by(|a, b| (a.0 - s).abs().total_cmp(&(b.0 - s).abs()))
            .map_or(0, |(_, node)| *node)
    }

    fn platforms(&mut self) {
        for (p, platform) in self.rig.platforms.iter().enumerate() {
            let node = self.node(platform.at, PartRef::Platform(p));
            self.s.platform_node.push(node);
            self.lump(node, platform.mass.value, platform.at - platform.normal * (platform.size.z / 2.0));
        }
    }

    fn cups(&mut self) {
        for (c, cup) in self.rig.cups.iter().enumerate() {
            let contact = self.node(cup.at, PartRef::Cup(c));
            self.s.cup_node.push(contact);
            let panel = &self.rig.panels[cup.panel];
            let series = |a: f64, b: f64| 1.0 / (1.0 / a + 1.0 / b);
            let axial = series(cup.axial.value, panel.stiffness.value);
            let rocking = series(cup.rocking.value, panel.rocking.value);
            let across = cup.normal.cross(cup.along);
            self.s.frame.supports.push(Support {
                node: contact,
                axes: [cup.along, across, cup.normal],
                k: [cup.shear.value, cup.shear.value, axial, rocking, rocking, cup.torsional.value],
            });
            self.lump(contact, cup.mass.value, cup.at);
            let (target, tube_node) = match cup.holds {
                Hold::Tube { tube, s } => {
                    let node = self.station(tube, s);
                    (Some(node), Some(node))
                }
                Hold::Platform(p) => (self.s.platform_node.get(p).copied(), None),
                Hold::Cup(_) | Hold::Body => (None, None),
            };
            if let Some(node) = tube_node {
                self.s.on_node.push(OnNode::Cup { cup: c, node });
            }
            let mut top = contact;
            let stem = cup.stem.as_ref().and_then(|s| beam_of(s, self.options));
            if stem.is_some() || !cup.locked {
                let head = self.node(cup.head, PartRef::Cup(c));
                if let Some(beam) = stem {
                    // The cup was weighed with its stem.
                    let beam = Beam { density_kg_m3: 0.0, ..beam };
                    self.s.frame.members.push(Member { i: contact, j: head, beam, up: cup.along });
                } else {
                    self.rigid(contact, head);
                }
                top = head;
            }
            if target.is_none() {
                self.s.free_head.push(None);
            }
            if let Some(target) = target {
                let kind = if cup.locked {
                    JointKind::Rigid
                } else {
                    // A free head tilts both ways and does not turn about the cup's own axis.
                    let free = Freedom { slide: [false; 3], turn: [true, true, false] };
                    JointKind::Release { axes: [cup.along, across, cup.normal], free }
                };
                self.s.free_head.push((!cup.locked).then_some(self.s.frame.joints.len()));
                self.s.frame.joints.push(Joint { a: top, b: target, kind });
            }
        }
    }

    fn jaw(&mut self, part: PartRef, tube: usize, node: usize) {
        let along = &self.rig.tubes[tube];
        let axes = beam::axes(along.a, along.b, DVec3::Z).unwrap_or([DVec3::X, DVec3::Y, DVec3::Z]);
        self.s.jaws.push(Jaw { part, tube, node, axes });
    }

    fn clamps(&mut self) {
        for (c, clamp) in self.rig.clamps.iter().enumerate() {
            let (first, second) =
                (self.station(clamp.first.0, clamp.first.1), self.station(clamp.second.0, clamp.second.1));
            let (pa, pb) = (self.s.frame.nodes[first], self.s.frame.nodes[second]);
            let kind = match clamp.kind {
                ClampKind::RightAngle | ClampKind::End => JointKind::Rigid,
                ClampKind::Swivel => {
                    let x = (pb - pa).try_normalize().unwrap_or(DVec3::Z);
                    let y = x.any_orthonormal_vector();
                    let free = Freedom { slide: [false; 3], turn: [true, false, false] };
                    JointKind::Release { axes: [x, y, x.cross(y)], free }
                }
            };
            self.s.frame.joints.push(Joint { a: first, b: second, kind });
            self.lump(first, clamp.mass.value / 2.0, pa);
            self.lump(second, clamp.mass.value / 2.0, pb);
            self.jaw(PartRef::Clamp(c), clamp.first.0, first);
            self.jaw(PartRef::Clamp(c), clamp.second.0, second);
        }
    }

    fn legs(&mut self) {
        for (l, leg) in self.rig.legs.iter().enumerate() {
            let on = self.rig.platforms.get(leg.platform);
            let axes = on.map_or([DVec3::X, DVec3::Y, DVec3::Z], platform_axes);
            self.s.leg_top.push(LegTop { at: leg.top, axes, mass_kg: leg.mass.value });
            let foot = self.station(leg.foot.0, leg.foot.1);
            let Some(platform) = self.s.platform_node.get(leg.platform).copied() else { continue };
            let foot_at = self.s.frame.nodes[foot];
            match leg.section.as_ref().and_then(|s| beam_of(s, self.options)) {
                Some(beam) if (leg.top - foot_at).length() > 1e-3 => {
                    // The member starts on a node of its own, so that the tube's node keeps only tube members.
                    let bottom = self.node(foot_at, PartRef::Leg(l));
                    let top = self.node(leg.top, PartRef::Leg(l));
                    self.rigid(foot, bottom);
                    self.rigid(top, platform);
                    // A leg's mass is the whole leg's: spread along it, and its tube is not weighed again.
                    let length = (leg.top - foot_at).length();
                    let beam = Beam { density_kg_m3: leg.mass.value / (beam.area_m2 * length), ..beam };
                    self.s.frame.members.push(Member { i: bottom, j: top, beam, up: DVec3::X });
                }
                _ => {
                    self.rigid(foot, platform);
                    self.lump(platform, leg.mass.value, (leg.top + foot_at) / 2.0);
                }
            }
            self.jaw(PartRef::Leg(l), leg.foot.0, foot);
        }
    }

    fn straps(&mut self) {
        for strap in &self.rig.straps {
            if strap.kind == StrapKind::Tether {
                self.s.strand_of.push(None);
                continue;
            }
            let strand = self.s.frame.strands.len();
            let mut path = Vec::new();
            for (point, p) in strap.path.iter().enumerate() {
                let node = self.node_of(&p.on);
                if let (Some(node), Hold::Tube { .. }) = (node, p.on) {
                    self.s.on_node.push(OnNode::StrandPoint { strand, point, node });
                }
                path.push(StrandPoint { at: p.at, node });
            }
            let mut s = Strand { path, k_n_per_m: 0.0, pretension_n: strap.pretension.value };
            let length = s.length();
            if length > 0.0 && strap.stretch.value > 0.0 {
                s.k_n_per_m = strap.capacity.value / (strap.stretch.value * length);
            }
            self.s.frame.strands.push(s);
            self.s.strand_of.push(Some(strand));
        }
    }

    fn node_of(&self, hold: &Hold) -> Option<usize> {
        match hold {
            Hold::Tube { tube, s } => Some(self.station(*tube, *s)),
            Hold::Platform(p) => self.s.platform_node.get(*p).copied(),
            Hold::Cup(c) => self.s.cup_node.get(*c).copied(),
            Hold::Body => None,
        }
    }

    fn items(&mut self) {
        for item in &self.rig.items {
            let node = self.node_of(&item.on).unwrap_or(0);
            self.s.item_node.push(node);
            if self.node_of(&item.on).is_some() {
                self.lump(node, item.mass.value, item.at);
            }
        }
    }

    /// Which ends of tubes nothing is fixed to.
    fn free_ends(&mut self) {
        let frame = &self.s.frame;
        let mut uses = vec![0; frame.nodes.len()];
        let members = frame.members.iter().flat_map(|m| [m.i, m.j]);
        let joints = frame.joints.iter().flat_map(|j| [j.a, j.b]);
        let strands = frame.strands.iter().flat_map(|s| &s.path).filter_map(|p| p.node);
        let others = frame.supports.iter().map(|s| s.node).chain(frame.masses.iter().map(|m| m.node));
        for node in members.chain(joints).chain(strands).chain(others).chain(self.s.item_node.iter().copied())
        {
            uses[node] += 1;
        }
        for map in &mut self.s.tubes {
            let free = |end: Option<&(f64, usize)>| end.is_some_and(|(_, node)| uses[*node] == 1);
            map.free = [free(map.stations.first()), free(map.stations.last())];
        }
    }
}
