//! Names beside the ends of lines, moved apart until none covers another.

/// Moves blocks of given heights apart along a column, each as near its wish as the others let it, within `low..high`.
///
/// Blocks that would overlap are joined and stand around the middle of their wishes (least squares on a line; the
/// pool-adjacent-violators rule). What does not fit at all runs over the lower end rather than on top of a neighbour.
pub(crate) fn apart(wishes: &[(f64, f64)], low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    order.sort_by(|a, b| wishes[*a].0.total_cmp(&wishes[*b].0));
    // Each group: its members, its top, its height.
    let mut groups: Vec<(Vec<usize>, f64, f64)> = Vec::new();
    for i in order {
        let (middle, height) = wishes[i];
        groups.push((vec![i], middle - height / 2.0, height));
        while let [.., before, last] = groups.as_slice() {
            if before.1 + before.2 <= last.1 {
                break;
            }
            let members: Vec<usize> = before.0.iter().chain(&last.0).copied().collect();
            // Top of the joined group at which the sum of squared moves is least.
            let (mut sum, mut above) = (0.0, 0.0);
            for m in &members {
                sum += wishes[*m].0 - wishes[*m].1 / 2.0 - above;
                above += wishes[*m].1;
            }
            let count = f64::from(u32::try_from(members.len()).unwrap_or(u32::MAX));
            groups.truncate(groups.len() - 2);
            groups.push((members, sum / count, above));
        }
    }
    // Into the field: up from the bottom first, then down from the top, so that the top always holds.
    let mut free = high;
    for g in groups.iter_mut().rev() {
        g.1 = g.1.min(free - g.2);
        free = g.1;
    }
    let mut free = low;
    for g in &mut groups {
        g.1 = g.1.max(free);
        free = g.1 + g.2;
    }
    let mut tops = vec![0.0; wishes.len()];
    for (members, top, _) in groups {
        let mut at = top;
        for m in members {
            tops[m] = at;
            at += wishes[m].1;
        }
    }
    tops
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn alone_each_stands_where_it_wants_to() {
        assert_eq!(apart(&[(100.0, 20.0), (50.0, 10.0)], 0.0, 200.0), [90.0, 45.0]);
    }

    #[test]
    fn two_that_want_the_same_share_the_move() {
        assert_eq!(apart(&[(100.0, 20.0), (100.0, 20.0)], 0.0, 200.0), [80.0, 100.0]);
        assert_eq!(apart(&[(2.0, 20.0), (3.0, 20.0)], 0.0, 200.0), [0.0, 20.0]);
        assert_eq!(apart(&[(199.0, 20.0), (198.0, 20.0)], 0.0, 200.0), [180.0, 160.0]);
    }

    proptest! {
        #[test]
        fn none_covers_another_and_order_stays(wishes in prop::collection::vec((0.0_f64..300.0, 10.0_f64..40.0), 0..12)) {
            let tops = apart(&wishes, 0.0, 300.0);
            for i in 0..wishes.len() {
                prop_assert!(tops[i] >= -1e-9);
                for j in 0..i {
                    let clear = tops[i] >= tops[j] + wishes[j].1 - 1e-9 || tops[j] >= tops[i] + wishes[i].1 - 1e-9;
                    prop_assert!(clear, "{tops:?}");
                }
            }
            if wishes.iter().map(|w| w.1).sum::<f64>() <= 300.0 {
                prop_assert!((0..wishes.len()).all(|i| tops[i] + wishes[i].1 <= 300.0 + 1e-9), "{tops:?}");
            }
        }
    }
}
