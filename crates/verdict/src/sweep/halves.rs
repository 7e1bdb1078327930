//! Things put in an order in which those that are alike stand beside each other, parted by halves down to single ones.

/// An order and its halves.
pub(super) struct Halves {
    /// The things by index.
    pub(super) order: Vec<usize>,
    /// Stretches of the order; the first one is all of it.
    pub(super) parts: Vec<Part>,
}

/// A stretch of an order.
pub(super) struct Part {
    /// Where it starts.
    pub(super) first: usize,
    /// How long it is.
    pub(super) count: usize,
    /// How far its things are apart in the number in which they are farthest apart.
    pub(super) spread: f64,
    /// Its halves; none for a single thing.
    pub(super) halves: Option<[usize; 2]>,
}

impl Halves {
    /// By the numbers of each thing, as many for each: every part is parted about the middle of the number that spreads most.
    pub(super) fn of(numbers: &[Vec<f64>]) -> Self {
        let count = numbers.len();
        let mut out = Self { order: (0..count).collect(), parts: Vec::with_capacity(2 * count) };
        let width = numbers.first().map_or(0, Vec::len);
        out.part(numbers, 0, count, &mut vec![[0.0; 2]; width]);
        out
    }

    /// Room: the ends of each number.
    fn part(&mut self, numbers: &[Vec<f64>], first: usize, count: usize, room: &mut [[f64; 2]]) -> usize {
        let these = &mut self.order[first..first + count];
        room.fill([f64::INFINITY, f64::NEG_INFINITY]);
        for i in &*these {
            for ([low, high], v) in room.iter_mut().zip(&numbers[*i]) {
                *low = if *v < *low { *v } else { *low };
                *high = if *v > *high { *v } else { *high };
            }
        }
        let spreads = room.iter().map(|[low, high]| high - low).enumerate();
        let (axis, spread) = spreads.fold((0, 0.0), |best, one| if one.1 > best.1 { one } else { best });
        let at = self.parts.len();
        // So that most parts are of 2, 4, 8 .. things, and those of poses times those of instants fill leaves.
        let middle = count.next_power_of_two() / 2;
        if spread > 0.0 {
            these.select_nth_unstable_by(middle, |a, b| numbers[*a][axis].total_cmp(&numbers[*b][axis]));
        }
        self.parts.push(Part { first, count, spread, halves: None });
        if count > 1 {
            let low = self.part(numbers, first, middle, room);
            let high = self.part(numbers, first + middle, count - middle, room);
            self.parts[at].halves = Some([low, high]);
        }
        at
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_alike_stands_together() {
        // Two clusters in the second number, far apart, and a little spread in the first.
        let numbers: Vec<Vec<f64>> =
            (0..16_u8).map(|k| vec![f64::from(k % 5), if k % 2 == 0 { 100.0 } else { -100.0 }]).collect();
        let halves = Halves::of(&numbers);
        assert!((halves.parts[0].spread - 200.0).abs() < 1e-12);
        let [low, high] = halves.parts[0].halves.unwrap();
        let odd = |part: usize, odd: usize| {
            let p = &halves.parts[part];
            halves.order[p.first..p.first + p.count].iter().all(|k| k % 2 == odd)
        };
        assert!(odd(low, 1) && odd(high, 0));
        let mut all = halves.order.clone();
        all.sort_unstable();
        assert!(all.into_iter().eq(0..16));
        assert!(halves.parts.iter().all(|p| p.halves.is_some() == (p.count > 1)));
        // Things that are all alike, or lost, part as well.
        assert_eq!(Halves::of(&vec![vec![1.0]; 5]).parts.len(), 9);
        assert_eq!(Halves::of(&vec![vec![f64::NAN]; 5]).parts.len(), 9);
        assert_eq!(Halves::of(&[]).parts.len(), 1);
    }
}
