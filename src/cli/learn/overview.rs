//! `learn` without a material: what there is to learn from.

use super::LearnError;
use super::shop::Shop;
use super::text::{counted, of_what};
use crate::bench::Log;
use crate::cli::json::print_json;
use crate::cli::page::Page;
use crate::cli::shared::{Desk, Failure};
use crate::fit::padded;
use crate::learn::Verdict;
use serde::Serialize;
use std::io::Write;

#[derive(Serialize)]
struct SeenJson {
    material: String,
    observations: usize,
    batches: usize,
    left_out: usize,
}

pub(super) fn run(json: bool, desk: &Desk, out: &mut impl Write) -> Result<(), LearnError> {
    let log = Log::replay(desk.entries().map_err(Failure::from)?);
    let shops = seen(&log, desk)?;
    if json {
        let seen: Vec<SeenJson> = shops
            .iter()
            .map(|shop| SeenJson {
                material: shop.id().to_string(),
                observations: shop.fit.looks(),
                batches: shop.gathered.batches(),
                left_out: shop.left_out(),
            })
            .collect();
        return Ok(print_json(&seen, out)?);
    }
    let mut page = Page::default();
    for shop in &shops {
        let looks = counted(shop.fit.looks(), "look", "looks");
        let times = (0..shop.fit.model.stages.len()).filter_map(|place| match shop.fit.stages[place] {
            Verdict::Learned { .. } => {
                Some(format!("{} ×{:.2}", shop.fit.model.stages[place].stage.key(), shop.fit.factor(place).0))
            }
            _ => None,
        });
        let times: Vec<String> = times.collect();
        let told = if times.is_empty() { "no time is told yet".to_owned() } else { times.join(", ") };
        page.words(
            &format!("{}  ", padded(shop.id().as_str(), 18)),
            &format!("{looks}{}: {told}", of_what(&shop.gathered)),
        );
    }
    if shops.is_empty() {
        page.words(
            "",
            "Nothing has been seen yet. Write down what you see, with 'nightpour seen' or o on the bench, or \
            take in an older table with 'nightpour learn MATERIAL --import FILE.csv'.",
        );
    } else {
        page.words("", "× is how many times as long as the label says. 'nightpour learn MATERIAL' says more.");
    }
    Ok(out.write_all(page.finished().as_bytes())?)
}

/// Every material that somebody has looked at.
pub(super) fn seen(log: &Log, desk: &Desk) -> Result<Vec<Shop>, LearnError> {
    let catalogue = desk.catalogue();
    let looked_at = |item: &&crate::material::Item| {
        let id = &item.profile.id;
        item.profile.thermal().is_some()
            && (log.batches().any(|batch| batch.mix.material == *id && !batch.observations.is_empty())
                || log.recalled().any(|(_, recalled)| recalled.material == *id))
    };
    catalogue.iter().filter(looked_at).map(|item| Shop::of_item(item.clone(), log.clone())).collect()
}
