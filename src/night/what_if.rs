//! The same plan if things turn out otherwise: the same pours at the same times, and whether they still go into their windows.

use super::answer::{on_another_bench, shifted};
use super::ask::{BenchAhead, NightAsk, PourOptions};
use super::outcome::{NightPlan, NoNight, PourWindow};
use super::planner::Planner;

/// What turns out otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhatIf {
    /// The bench is so much colder than forecast, °C.
    Colder { by_c: f64 },
    /// Every dose is weaker by this share.
    Weaker { by: f64 },
    /// The last layer is left out.
    OneLayerLess,
}

/// One case beside the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatIfCase {
    pub what: WhatIf,
    /// For each pour of the plan its window now; `None` for the first in the vessel, and for a pour that is left out.
    pub windows: Vec<Option<PourWindow>>,
    /// When the last layer of the plan is finished now; `None`: not at all.
    pub finish: Option<jiff::Timestamp>,
    /// What would then be best, planned anew.
    pub anew: Result<NightPlan, NoNight>,
}

/// `plan`, made of `ask`, in a case.
pub fn what_if(ask: NightAsk<'_>, plan: &NightPlan, what: WhatIf) -> Option<WhatIfCase> {
    match what {
        WhatIf::Colder { by_c } => {
            let curve = shifted(&ask.bench.curve, -by_c)?;
            let below = ask.below.zip(ask.profile.thermal()).map(|(below, cure)| below.on(cure, ask.bench, &curve));
            let bench = BenchAhead { curve, outlook: ask.bench.outlook.clone() };
            // The doses are those of the plan, so its own options serve.
            let colder = NightAsk { bench: &bench, below: below.as_ref(), ..ask };
            let (windows, finish) = Planner::new(colder).ok()?.replay(plan, 1.0);
            let anew = on_another_bench(ask, -by_c)?;
            Some(WhatIfCase { what, windows, finish, anew })
        }
        WhatIf::Weaker { by } => {
            let (windows, finish) = Planner::new(ask).ok()?.replay(plan, 1.0 - by);
            let options = ask.options.weaker(1.0 - by);
            let anew = Planner::new(NightAsk { options: &options, ..ask }).and_then(|mut planner| planner.best());
            Some(WhatIfCase { what, windows, finish, anew })
        }
        WhatIf::OneLayerLess => {
            let options = ask.options.without_last();
            let anew = Planner::new(NightAsk { options: &options, ..ask }).and_then(|mut planner| planner.best());
            let mut shorter = plan.clone();
            shorter.pours.pop();
            let (mut windows, finish) = Planner::new(NightAsk { options: &options, ..ask }).ok()?.replay(&shorter, 1.0);
            windows.push(None);
            Some(WhatIfCase { what, windows, finish, anew })
        }
    }
}

impl PourOptions {
    /// Every dose so much weaker than it is meant: by a scale, or an old catalyst.
    fn weaker(&self, share: f64) -> Self {
        Self { strength: self.strength * share, ..self.clone() }
    }

    fn without_last(&self) -> Self {
        let mut shorter = self.clone();
        shorter.cool.1.pop();
        shorter.warm.1.pop();
        shorter
    }
}
