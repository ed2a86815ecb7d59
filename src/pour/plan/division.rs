//! How the fill is cut into layers, and how what is left of it is cut anew after a pour.

use super::ground::{Ground, SAME_MM, parts};
use crate::pour::Division;

/// More layers than anybody pours; a deepest layer of a hundredth of a millimetre is a slip.
const MOST_LAYERS: u32 = 10_000;
/// Without a thinnest layer, this much short of a level is made good by the next layer, mm.
const SHORT_MM: f64 = 1.0;

/// The layers as they would be poured from the floor.
pub(super) struct Planned<'p> {
    division: &'p Division,
    deepest_mm: Option<f64>,
    thinnest_mm: Option<f64>,
    made_good_mm: Option<f64>,
    /// Levels at which a layer has to end, rising; the last is the fill.
    stops: Vec<f64>,
    /// Where every layer ends.
    tops: Vec<f64>,
}

/// How each stretch between two stops is cut.
#[derive(Debug, Clone, Copy)]
enum Parting {
    /// Into as few as possible, none deeper than this.
    Within(f64),
    /// Into this many over all stretches.
    Count(u32),
    /// Not at all.
    Whole,
}

impl<'p> Planned<'p> {
    pub fn new(ground: &Ground<'p>) -> Self {
        let fill = ground.fill_mm();
        let wishes = &ground.piece.layers;
        let beds = ground.piece.items.iter().filter(|item| item.bedded).map(|item| item.from.get());
        let mut stops: Vec<f64> = wishes.levels.iter().map(|level| level.get()).chain(beds).collect();
        if let Division::Depths(depths) = &wishes.division {
            stops.extend(depths.iter().scan(0.0, |level, depth| {
                *level += depth.get();
                Some(*level)
            }));
        }
        stops.retain(|stop| *stop > SAME_MM && *stop < fill - SAME_MM);
        stops.push(fill);
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|next, kept| *next - *kept <= SAME_MM);
        let mut planned = Self {
            division: &wishes.division,
            deepest_mm: ground.deepest_mm(),
            thinnest_mm: ground.thinnest_mm(),
            made_good_mm: ground.deepest_made_good_mm(),
            tops: Vec::new(),
            stops,
        };
        planned.tops = tops(0.0, &planned.stops, planned.parting(0));
        planned
    }

    /// How many layers there are, poured from the floor.
    pub fn layers(&self) -> u32 {
        u32::try_from(self.tops.len()).unwrap_or(u32::MAX)
    }

    /// Where the layers end that are left to pour onto resin that stands at `level`, `poured` of them being done.
    pub fn tops_above(&self, level: f64, poured: u32) -> Vec<f64> {
        let stops: Vec<f64> = self.stops.iter().copied().filter(|stop| self.is_ahead(*stop, level)).collect();
        if let (1.., Parting::Within(max), Some(made_good), [first, further @ ..]) =
            (poured, self.parting(poured), self.made_good_mm, stops.as_slice())
        {
            // The layers that were planned up to the next stop stay as many, each a little deeper or thinner.
            let planned =
                self.tops.iter().filter(|top| **top <= first + SAME_MM && self.is_ahead(**top, level)).count();
            let as_planned = f64::from(u32::try_from(planned).unwrap_or(MOST_LAYERS).max(1));
            let depth = (first - level) / as_planned;
            let most = if depth <= made_good { max.max(depth) } else { max };
            let mut all = tops(level, &[*first], Parting::Within(most));
            all.extend(tops(*first, further, Parting::Within(max)));
            return all;
        }
        tops(level, &stops, self.parting(poured))
    }

    /// Whether what belongs onto the level `from` is still to be laid in where the resin stands at `level`: that level
    /// was just missed, from below or from above.
    pub fn begins_at(&self, from: f64, level: f64) -> bool {
        let missed = level - from;
        missed.abs() <= SAME_MM || !self.is_ahead(from, level) && missed < self.slack_mm(self.depth_above(from))
    }

    fn parting(&self, poured: u32) -> Parting {
        match (self.division, self.deepest_mm) {
            (Division::Count(count), _) => Parting::Count(count.min(&MOST_LAYERS).saturating_sub(poured)),
            (Division::Fewest, Some(max)) => Parting::Within(max),
            (Division::Fewest, None) | (Division::Depths(_), _) => Parting::Whole,
        }
    }

    /// How far a level may be missed to count as reached beside a layer `depth_mm` deep: half the thinnest layer, and
    /// never half of the layer itself, so that the next layer as planned is always ahead.
    fn slack_mm(&self, depth_mm: f64) -> f64 {
        self.thinnest_mm.map_or(SHORT_MM, |min| min / 2.0).min(depth_mm / 2.0)
    }

    /// Whether the layer that ends at `stop` is still to be poured onto resin that stands at `level`.
    fn is_ahead(&self, stop: f64, level: f64) -> bool {
        let place = self.tops.partition_point(|top| *top < stop - SAME_MM);
        let below = place.checked_sub(1).map_or(0.0, |place| self.tops[place]);
        stop - level > self.slack_mm(stop - below).max(SAME_MM)
    }

    /// How deep the layer was planned that begins at `from`; 0 where none does.
    fn depth_above(&self, from: f64) -> f64 {
        let next = self.tops.iter().find(|top| **top > from + SAME_MM);
        next.map_or(0.0, |top| top - from)
    }
}

/// Where the layers end that fill the stretches from `from` to each of `stops`.
fn tops(from: f64, stops: &[f64], parting: Parting) -> Vec<f64> {
    let froms: Vec<f64> = std::iter::once(from).chain(stops.iter().copied()).collect();
    let lengths: Vec<f64> = froms.array_windows().map(|[from, to]| to - from).collect();
    let counts = match parting {
        Parting::Within(max) => {
            let most = (MOST_LAYERS / u32::try_from(lengths.len()).unwrap_or(MOST_LAYERS).max(1)).max(1);
            lengths.iter().map(|length| parts(*length, max).min(most)).collect()
        }
        Parting::Count(count) => shared_out(&lengths, count),
        Parting::Whole => vec![1; lengths.len()],
    };
    let stretches = froms.array_windows().zip(counts);
    let cut = |([from, to], count): (&[f64; 2], u32)| {
        let (from, to) = (*from, *to);
        (1..=count).map(
            move |part| {
                if part == count { to } else { from + (to - from) * f64::from(part) / f64::from(count) }
            },
        )
    };
    stretches.flat_map(cut).collect()
}

/// Shares `count` layers out among stretches so that the deepest is as thin as it can be, at least one each: one more
/// layer always goes to the stretch whose layers are deepest, the lowest of equals.
fn shared_out(lengths: &[f64], count: u32) -> Vec<u32> {
    const ROUNDING: f64 = 1e-9;
    let mut counts = vec![1_u32; lengths.len()];
    for _ in lengths.len()..usize::try_from(count).unwrap_or(usize::MAX) {
        let depth = |place: usize| lengths[place] / f64::from(counts[place]);
        let deepest = (0..lengths.len())
            .reduce(|best, place| if depth(place) > depth(best) * (1.0 + ROUNDING) { place } else { best });
        let Some(deepest) = deepest else { break };
        counts[deepest] += 1;
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::plan::testing::{after, all_close, block, cut, fresh, level, mm, polyester, tops as planned};
    use crate::pour::plan::{Conditions, plan};
    use crate::pour::{LayerWishes, Piece};

    fn with(change: impl FnOnce(&mut LayerWishes)) -> Piece {
        let mut piece = block();
        change(&mut piece.layers);
        piece
    }

    fn tops_after(piece: &Piece, conditions: &Conditions) -> Vec<f64> {
        planned(&plan(piece, &polyester(), conditions))
    }

    #[test]
    fn as_few_layers_as_the_deepest_allows_and_equal() {
        all_close(&planned(&fresh(&block(), &polyester())), &[20.0, 40.0, 60.0]);
        let thin = with(|wishes| wishes.max = Some(mm(14.0)));
        all_close(&planned(&fresh(&thin, &polyester())), &[12.0, 24.0, 36.0, 48.0, 60.0]);
    }

    #[test]
    fn levels_that_are_given_part_the_layers() {
        let piece = with(|wishes| wishes.levels = vec![level(35.0), level(5.0)]);
        all_close(&planned(&fresh(&piece, &polyester())), &[5.0, 20.0, 35.0, 47.5, 60.0]);
    }

    #[test]
    fn without_a_deepest_layer_a_stretch_is_one_layer() {
        let mut open = polyester();
        open.layer_depth.max = None;
        let piece = with(|wishes| wishes.levels = vec![level(35.0)]);
        all_close(&planned(&fresh(&piece, &open)), &[35.0, 60.0]);
    }

    #[test]
    fn a_count_goes_where_the_layers_are_deepest() {
        assert_eq!(shared_out(&[30.0, 10.0], 4), [3, 1]);
        assert_eq!(shared_out(&[30.0, 30.0], 3), [2, 1], "the lower one of equals");
        assert_eq!(shared_out(&[30.0, 10.0, 20.0], 1), [1, 1, 1], "one each at least");
        let piece = with(|wishes| wishes.levels = vec![level(20.0)]);
        let counted = cut(piece, Division::Count(5));
        all_close(&planned(&fresh(&counted, &polyester())), &[10.0, 20.0, 20.0 + 40.0 / 3.0, 20.0 + 80.0 / 3.0, 60.0]);
    }

    #[test]
    fn a_layer_missed_by_a_little_is_made_good_and_makes_no_further_layer() {
        let piece = with(|wishes| {
            wishes.max = Some(mm(10.0));
            wishes.levels = vec![level(20.0)];
        });
        for reached in [9.2, 9.97, 10.0, 10.9] {
            all_close(&tops_after(&piece, &after(1, reached)), &[20.0, 30.0, 40.0, 50.0, 60.0]);
        }
        let short = tops_after(&piece, &after(1, 8.5));
        all_close(&short, &[14.25, 20.0, 30.0, 40.0, 50.0, 60.0]);
        // The profile bears 20 mm, and a fiftieth more is what a scale may miss.
        let deep = block();
        all_close(&tops_after(&deep, &after(1, 19.7)), &[39.85, 60.0]);
    }

    #[test]
    fn depths_are_poured_as_given() {
        let piece = cut(block(), Division::Depths([5.0, 15.0, 15.0, 25.0].map(mm).to_vec()));
        all_close(&planned(&fresh(&piece, &polyester())), &[5.0, 20.0, 35.0, 60.0]);
    }

    #[test]
    fn a_short_pour_is_made_good_by_the_next_layer() {
        let piece = cut(block(), Division::Depths([20.0, 20.0, 20.0].map(mm).to_vec()));
        all_close(&tops_after(&piece, &after(1, 18.6)), &[40.0, 60.0]);
        all_close(&tops_after(&piece, &after(1, 18.4)), &[20.0, 40.0, 60.0]);
        all_close(&tops_after(&piece, &after(1, 21.0)), &[40.0, 60.0]);
        // Thin layers: half of one, not half of the profile's thinnest.
        let films = cut(block(), Division::Depths(vec![mm(1.0); 60]));
        assert_eq!(tops_after(&films, &after(10, 10.0)).len(), 50);
    }

    #[test]
    fn what_is_left_is_cut_anew_from_the_level_reached() {
        all_close(&tops_after(&block(), &after(1, 10.0)), &[10.0 + 50.0 / 3.0, 10.0 + 100.0 / 3.0, 60.0]);
        let counted = cut(block(), Division::Count(4));
        all_close(&tops_after(&counted, &after(1, 30.0)), &[40.0, 50.0, 60.0]);
        all_close(&tops_after(&counted, &after(9, 30.0)), &[60.0]);
    }

    #[test]
    fn no_wish_makes_more_layers_than_anybody_pours() {
        let slip = cut(block(), Division::Count(u32::MAX));
        assert_eq!(fresh(&slip, &polyester()).layers.len(), 10_000);
        let film = with(|wishes| wishes.max = Some(mm(1e-6)));
        assert_eq!(fresh(&film, &polyester()).layers.len(), 10_000);
        let films = Piece { layers: LayerWishes { levels: vec![level(20.0)], ..film.layers.clone() }, ..film };
        assert_eq!(fresh(&films, &polyester()).layers.len(), 10_000, "not so many to each level");
    }
}
