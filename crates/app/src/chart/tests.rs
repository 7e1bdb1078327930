//! What stands in the charts of a rig.

use super::{loads, places, sectors, speeds, vacuum};
use crate::command::check::verdict_of;
use core::f64::consts::PI;
use draw::chart::{self, Word};
use rig::Rig;
use verdict::limits::{Ask, Band, Cell, Envelope, Limit, Place, Sector, Vacuum};
use verdict::{Need, PartRef};

const G: f64 = 9.806_65;

fn rig_of(text: &str) -> Rig {
    rig::read(text, "rig.toml", &|_| Ok(include_str!("../../../../examples/kit.toml").to_owned()))
        .rig
        .unwrap()
}

fn plate() -> Rig {
    rig_of(include_str!("../../tests/rigs/plate.toml"))
}

fn limits(g: [Option<f64>; 3]) -> Vec<Limit> {
    Ask::ALL
        .iter()
        .zip(g)
        .map(|(ask, g)| Limit { ask: *ask, acceleration: g.map(|g| g * G), by: None })
        .collect()
}

/// Twelve, nine, six and three o'clock, two bands, one speed, dry and wet.
fn envelope() -> Envelope {
    let quarter = |middle: f64| Sector { from: middle - PI / 4.0, to: middle + PI / 4.0 };
    let mut cells = Vec::new();
    for wet in [false, true] {
        for sector in 0..4_u32 {
            for band in 0..2_u32 {
                let g = if wet { 0.1 } else { 0.3 } + f64::from(sector) * 0.1 + f64::from(band) * 0.0099;
                let side = (!(wet && sector == 2)).then_some(g);
                let place = Place::Boom { sector: sector as usize, band: band as usize };
                cells.push(Cell {
                    speed: 10.0,
                    wet,
                    place,
                    limits: limits([side, Some(1.2), Some(g / 2.0)]),
                });
            }
        }
        cells.push(Cell {
            speed: 10.0,
            wet,
            place: Place::Parked,
            limits: limits([Some(0.9), None, Some(0.2)]),
        });
    }
    Envelope {
        cells,
        speeds: vec![10.0],
        sectors: (0..4_u32).map(|k| quarter(f64::from(k) * PI / 2.0)).collect(),
        bands: vec![Band { from: -0.1, to: 0.1 }, Band { from: 0.1, to: 0.3 }],
        surfaces: vec![false, true],
        moving: true,
        gust: false,
        missing: Vec::new(),
    }
}

#[test]
fn a_sector_shows_the_least_of_its_elevations_rounded_down() {
    let (rig, mut e) = (plate(), envelope());
    let chart = sectors::by_bearing(&rig, &e).unwrap();
    let names: Vec<&str> = chart.dials.iter().map(|d| d.name.as_str()).collect();
    assert_eq!(names, ["36 km/h (22.4 mph), dry", "36 km/h (22.4 mph), wet"]);
    let texts = |k: usize| -> Vec<&str> { chart.dials[k].sectors.iter().map(|s| s.text.as_str()).collect() };
    assert_eq!(texts(0), ["0.30", "0.40", "0.50", "0.60"]);
    assert_eq!(texts(1), ["0.10", "0.20", "none", "0.40"]);
    let hours: Vec<&str> = chart.dials[0].sectors.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(hours, ["12", "9", "6", "3"]);
    assert!(chart.dials[1].sectors[2].value.is_none());
    assert_eq!(chart.dials[0].note, "Boom parked: 0.90 g.");
    assert!(!chart.notes.iter().any(|n| n.contains("HOLD")));
    // What is left out of the limits is said.
    e.missing.push(Need {
        what: "pull limit of panel roof".to_owned(),
        key: String::new(),
        settle: String::new(),
    });
    let chart = sectors::by_bearing(&rig, &e).unwrap();
    assert!(
        chart.notes.iter().any(|n| n.starts_with("HOLD") && n.contains("panel roof")),
        "{:?}",
        chart.notes
    );
    e.cells.retain(|c| c.place == Place::Parked);
    assert!(sectors::by_bearing(&rig, &e).is_none());
}

#[test]
fn the_table_runs_from_straight_back_over_left_and_ahead_to_right() {
    let chart = places::by_place(&plate(), &envelope(), Ask::Side).unwrap();
    assert_eq!(chart.columns, ["6", "9", "12", "3"]);
    assert_eq!(chart.rows, ["-6° to 6°", "6° to 17°"]);
    let wet = &chart.blocks[1];
    assert!(wet.rows.iter().all(|r| r[0] == chart::Cell::Nothing));
    let text = |c: &chart::Cell| match c {
        chart::Cell::Value(_, text) => text.clone(),
        _ => String::new(),
    };
    // Rounded down: 0.1099 g and 0.3099 g.
    assert_eq!(
        (text(&wet.rows[1][2]), text(&chart.blocks[0].rows[1][2])),
        ("0.10".to_owned(), "0.30".to_owned())
    );
    let brake = places::by_place(&plate(), &envelope(), Ask::Brake).unwrap();
    assert_eq!(text(&brake.blocks[0].rows[0][0]), ">1.2");
}

#[test]
fn a_speed_shows_the_least_of_all_places() {
    let chart = speeds::by_speed(&plate(), &envelope()).unwrap();
    let bars: Vec<(&str, &str)> =
        chart.groups[1].bars.iter().map(|b| (b.label.as_str(), b.text.as_str())).collect();
    assert_eq!(chart.groups[1].name, "36 km/h (22.4 mph), wet");
    assert_eq!(bars[0], ("boom anywhere: bends", "none"));
    assert_eq!(bars[2], ("boom anywhere: both at once", "0.05 g"));
    assert_eq!(bars[3], ("boom parked: bends", "0.90 g"));
    assert_eq!(bars[4], ("boom parked: brake", "none"));
    assert_eq!(chart.groups[1].bars[0].value, Some(0.0));
}

#[test]
fn a_part_shows_its_tightest_check_and_what_was_not_checked() {
    let rig = rig_of(include_str!("../../../../examples/door-camera.toml"));
    let verdict = verdict_of(&rig, false).unwrap_or_else(|_| panic!("no verdict"));
    let parts: Vec<PartRef> = (0..rig.cups.len()).map(PartRef::Cup).collect();
    let chart = loads::of_parts(&rig, &verdict, "cup", &parts).unwrap();
    assert_eq!(chart.groups.len(), rig.cups.len());
    for (part, group) in parts.iter().zip(&chart.groups) {
        assert_eq!(group.name, part.name(&rig));
        let least = verdict.findings.iter().filter(|f| f.part == *part).filter_map(|f| f.margin);
        let least = least.fold(f64::INFINITY, f64::min);
        let most = group.bars.iter().filter_map(|b| b.value).fold(0.0, f64::max);
        assert!(least.is_finite() && (most * least - 1.0).abs() < 1e-9, "{most} {least}");
        // The panel's limits are not in the file.
        let open = group.bars.last().unwrap();
        assert_eq!(
            (open.label.as_str(), open.word, open.value),
            ("panel-pull, panel-push", Some(Word::Unknown), None)
        );
    }
    assert!(loads::of_parts(&rig, &verdict, "tube", &[PartRef::Tube(99)]).is_none());
}

#[test]
fn vacuum_left_is_rounded_down_and_what_is_needed_up() {
    let rig = plate();
    let one = |left: Option<f64>, least: Option<f64>| {
        let by = Some(rig::policy::CheckId::CupSeal);
        let v = Vacuum { cup: 0, read: Some(80e3), left, least, by };
        vacuum::of_cups(&rig, &[v]).unwrap().groups[0].bars[0].clone()
    };
    let bar = one(Some(59.96e3), Some(50.01e3));
    assert_eq!(
        (bar.text.as_str(), bar.label.as_str()),
        ("left 59.9 kPa (17.7 inHg)", "needs 50.1 kPa (14.8 inHg)")
    );
    assert_eq!(bar.word, Some(Word::Holds));
    assert_eq!(one(Some(55e3), Some(50e3)).word, Some(Word::Close));
    assert_eq!(one(Some(49.9e3), Some(50e3)).word, Some(Word::Fails));
    assert_eq!(one(Some(70e3), None).word, Some(Word::Fails));
    assert_eq!(one(None, Some(50e3)).word, Some(Word::Unknown));
    assert!(vacuum::of_cups(&rig, &[]).is_none());
}
