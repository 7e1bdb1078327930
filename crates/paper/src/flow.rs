//! Which part stands on which page.

use std::ops::Range;

use crate::part::{Glue, Part};

/// A page: its parts and how far down each stands.
#[derive(Debug, Default)]
pub(crate) struct Page {
    pub(crate) parts: Vec<(usize, f32)>,
    /// The part whose table head stands again on top.
    pub(crate) again: Option<usize>,
}

struct Flow<'a> {
    parts: &'a [Part],
    high: f32,
    pages: Vec<Page>,
    /// How far down the last page is filled.
    y: f32,
}

/// Slack for sums of rounded heights, pt.
const SLACK: f32 = 0.01;

/// Parts on pages of a height.
pub(crate) fn pages(parts: &[Part], high: f32) -> Vec<Page> {
    let mut flow = Flow { parts, high, pages: vec![Page::default()], y: 0.0 };
    flow.chains(0..parts.len(), Glue::Wish);
    flow.pages
}

impl Flow<'_> {
    /// Places parts; those glued as firmly as asked stay together.
    fn chains(&mut self, range: Range<usize>, glue: Glue) {
        let mut from = range.start;
        while from < range.end {
            let mut to = from + 1;
            while to < range.end && self.parts[to - 1].glue >= glue && !self.parts[to].fresh {
                to += 1;
            }
            self.chain(from..to, glue);
            from = to;
        }
    }

    fn chain(&mut self, range: Range<usize>, glue: Glue) {
        let one = range.len() == 1;
        if self.parts[range.start].fresh {
            self.turn();
        }
        if self.y + self.height(range.clone(), self.empty()) > self.high + SLACK {
            if one || self.height(range.clone(), true) <= self.high + SLACK {
                self.turn();
            } else {
                return match glue {
                    Glue::Wish => self.chains(range, Glue::Must),
                    _ => range.for_each(|i| self.chain(i..i + 1, Glue::Must)),
                };
            }
        }
        for i in range {
            self.put(i);
        }
    }

    fn empty(&self) -> bool {
        self.pages.last().is_none_or(|page| page.parts.is_empty())
    }

    fn turn(&mut self) {
        if !self.empty() {
            self.pages.push(Page::default());
            self.y = 0.0;
        }
    }

    /// Height of parts that follow one another, on top of a page or not.
    fn height(&self, range: Range<usize>, top: bool) -> f32 {
        let mut high = 0.0;
        for (k, part) in self.parts[range].iter().enumerate() {
            high += part.high;
            if k > 0 || !top {
                high += part.gap;
            } else if let Some(again) = &part.again {
                high += again.high;
            }
        }
        high
    }

    fn put(&mut self, i: usize) {
        let part = &self.parts[i];
        let top = self.empty();
        let Some(page) = self.pages.last_mut() else { return };
        if !top {
            self.y += part.gap;
        } else if let Some(again) = &part.again {
            page.again = Some(i);
            self.y += again.high;
        }
        page.parts.push((i, self.y));
        self.y += part.high;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(high: f32, glue: Glue) -> Part {
        Part::new(high, 1.0).glued(glue)
    }

    fn split(parts: &[Part]) -> Vec<Vec<usize>> {
        pages(parts, 10.0).iter().map(|page| page.parts.iter().map(|(i, _)| *i).collect()).collect()
    }

    #[test]
    fn what_is_glued_goes_over_together() {
        use Glue::{Loose, Must, Wish};
        let free = [part(6.0, Loose), part(3.0, Loose), part(3.0, Loose)];
        assert_eq!(split(&free), [vec![0, 1], vec![2]]);
        let kept = [part(6.0, Loose), part(3.0, Must), part(3.0, Loose)];
        assert_eq!(split(&kept), [vec![0], vec![1, 2]]);
        // Too tall to stand together: the wish goes, what must stays.
        let tall = [part(3.0, Wish), part(3.0, Wish), part(3.0, Must), part(3.0, Loose)];
        assert_eq!(split(&tall), [vec![0, 1], vec![2, 3]]);
        let taller = [part(4.0, Must), part(4.0, Must), part(4.0, Loose)];
        assert_eq!(split(&taller), [vec![0, 1], vec![2]]);
    }

    #[test]
    fn no_page_is_empty_and_no_part_is_lost() {
        assert_eq!(split(&[]), [Vec::<usize>::new()]);
        let mut fresh = part(1.0, Glue::Must);
        fresh.fresh = true;
        assert_eq!(split(&[fresh, part(1.0, Glue::Loose)]), [vec![0, 1]]);
        let giant = [part(30.0, Glue::Loose), part(1.0, Glue::Loose)];
        assert_eq!(split(&giant), [vec![0], vec![1]]);
    }
}
