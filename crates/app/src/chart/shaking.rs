//! Shaking on its way from the road to the camera, over frequency.

use draw::chart::{Along, Axis, Chart, Limit, Line, Scale};
use quantity::{Kind, both_kind};
use verdict::picture::Picture;

/// Frequencies that the drawing shows: what lies beyond moves no picture, Hz.
const SHOWN_HZ: (f64, f64) = (0.3, 60.0);

pub(crate) fn over_frequency(p: &Picture) -> Chart {
    let line = |(k, name): (usize, &str)| Line {
        label: name.to_owned(),
        points: p
            .curves
            .iter()
            .filter(|(f, _)| (SHOWN_HZ.0..=SHOWN_HZ.1).contains(f))
            .map(|(f, all)| (*f, all.get(k).copied().unwrap_or(f64::NAN)))
            .collect(),
        dots: false,
    };
    let limit = |f: &f64| Limit { label: "rig's lowest".to_owned(), at: *f, along: Along::X };
    Chart {
        title: "Up and down shaking on its way to the camera (estimate)".to_owned(),
        x: Axis::new("frequency", Scale::Log).unit("Hz", 1.0),
        y: Axis::new("acceleration in each Hz, root", Scale::Log)
            .unit("m/s2 by root Hz", 1.0)
            .other("g by root Hz", 9.806_65),
        lines: p.stages.iter().map(|s| s.name).enumerate().map(line).collect(),
        limits: p.rig_hz.iter().take(1).map(limit).collect(),
        notes: vec![
            format!("Road class {} at {}; steady drive.", p.road, both_kind(p.speed_m_s, Kind::Speed)),
            "An estimate: no check rests on it.".to_owned(),
        ],
    }
}
