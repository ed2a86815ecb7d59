//! What is at hand, what it costs and what it is weighed on: `[supplies]`, `[prices]` and `[scale]`.

use crate::pour::{DropBottle, Prices, Scales, Supplies};
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table};
use crate::text::PlainText;
use crate::units::{CupLoss, Grams, Percent, PricePerKg, UnitError};

const ON_HAND: Key = Key::new("resin_on_hand_g", "900");
const RESERVE: Key = Key::new("reserve_percent", "5");
const CUP_LOSS: Key = Key::new("cup_loss_g", "3");
const BOTTLE: Key = Key::new("drop_bottle", "{ drops = 50, weighed_g = 1.6 }");
const DROPS: Key = Key::new("drops", "50");
const WEIGHED: Key = Key::new("weighed_g", "1.6");
const CURRENCY: Key = Key::new("currency", "\"EUR\"");
const RESIN_PRICE: Key = Key::new("resin_per_kg", "18.5");
const CATALYST_PRICE: Key = Key::new("catalyst_per_kg", "60");
const TINT_PRICE: Key = Key::new("tint_per_kg", "240");
const RESIN_DIGIT: Key = Key::new("resin_digit_g", "0.1");
const CATALYST_DIGIT: Key = Key::new("catalyst_digit_g", "0.01");

/// Common practice: a little over, for what is spilt and what shrinks.
const USUAL_RESERVE_PERCENT: f64 = 5.0;
/// Common practice: 2 to 5 g stay in each cup and on its stick.
const USUAL_CUP_LOSS_G: f64 = 3.0;
/// Common practice: the digit of a kitchen scale that is fit for resin.
const USUAL_DIGIT_G: f64 = 0.1;
/// Common practice: droppers give 0.02 to 0.07 g a drop.
const LIKELY_DROP_G: std::ops::RangeInclusive<f64> = 0.01..=0.15;

const MOST_DROPS: u32 = 10_000;
const LONGEST_CURRENCY: usize = 8;

/// Reads `[supplies]`. The prices are in a table of their own.
pub(super) fn read(table: &mut Table<'_>) -> Result<Supplies, Reported> {
    let on_hand = table.optional(ON_HAND, |field| field.quantity(Grams::new));
    let reserve = table.optional(RESERVE, |field| field.quantity(Percent::new));
    let cup_loss = table.optional(CUP_LOSS, |field| field.quantity(CupLoss::new));
    let bottle = table.optional(BOTTLE, |field| field.table(bottle));
    let usual = usual();
    Ok(Supplies {
        resin_on_hand: on_hand?.map(Spanned::into_inner),
        reserve: reserve?.map_or(usual.reserve, Spanned::into_inner),
        cup_loss: cup_loss?.map_or(usual.cup_loss, Spanned::into_inner),
        bottle: bottle?,
        prices: usual.prices,
    })
}

/// What holds where a piece says nothing.
pub(super) fn usual() -> Supplies {
    Supplies {
        resin_on_hand: None,
        reserve: constant(Percent::new(USUAL_RESERVE_PERCENT)),
        cup_loss: constant(CupLoss::new(USUAL_CUP_LOSS_G)),
        bottle: None,
        prices: Prices::default(),
    }
}

fn bottle(table: &mut Table<'_>) -> Result<DropBottle, Reported> {
    let drops = table.required(DROPS, |field| field.whole(1..=MOST_DROPS));
    let weighed = table.required(WEIGHED, |field| field.quantity(Grams::new));
    let (drops, weighed) = (drops?.into_inner(), weighed?);
    let drop_g = weighed.get_ref().get() / f64::from(drops);
    if !LIKELY_DROP_G.contains(&drop_g) {
        let what = format!("a drop of this bottle would weigh {drop_g:.4} g; most weigh 0.02 to 0.07 g");
        table.doubt(
            weighed.span(),
            &what,
            "count and weigh again: 'weighed_g' is all the drops together, without the cup",
        );
    }
    Ok(DropBottle { drops, weighed: weighed.into_inner() })
}

/// Reads `[prices]`.
pub(super) fn prices(table: &mut Table<'_>) -> Result<Prices, Reported> {
    let currency = table.optional(CURRENCY, currency);
    let mut price = |key| Ok(table.optional(key, |field| field.quantity(PricePerKg::new))?.map(Spanned::into_inner));
    let (resin, catalyst, tint) = (price(RESIN_PRICE), price(CATALYST_PRICE), price(TINT_PRICE));
    let (currency, resin, catalyst, tint) = (currency?, resin?, catalyst?, tint?);
    let currency = match currency {
        Some(currency) => currency.into_inner(),
        None if [resin, catalyst, tint].iter().all(Option::is_none) => PlainText::default(),
        None => return Err(table.missing(CURRENCY)),
    };
    Ok(Prices { currency, resin, catalyst, tint })
}

fn currency(field: Field<'_>) -> Result<Spanned<PlainText>, Reported> {
    field.parsed(|text| {
        let length = text.chars().count();
        if length <= LONGEST_CURRENCY {
            return Ok(PlainText::new(text));
        }
        Err(Mistake {
            what: format!("'currency' is {length} characters long; {LONGEST_CURRENCY} fit"),
            remedy: format!("write a short word or sign for the money, as in {CURRENCY}"),
        })
    })
}

/// Reads `[scale]`.
pub(super) fn scales(table: &mut Table<'_>) -> Result<Scales, Reported> {
    let mut digit = |key| Ok(table.optional(key, |field| field.quantity(Grams::new))?.map(Spanned::into_inner));
    let (resin, catalyst) = (digit(RESIN_DIGIT), digit(CATALYST_DIGIT));
    let resin = resin?.unwrap_or(usual_scales().resin);
    Ok(Scales { resin, catalyst: catalyst?.unwrap_or(resin) })
}

/// One scale with a usual digit.
pub(super) fn usual_scales() -> Scales {
    let digit = constant(Grams::new(USUAL_DIGIT_G));
    Scales { resin: digit, catalyst: digit }
}

#[expect(clippy::expect_used, reason = "called with constants of this file, which the tests read")]
fn constant<T>(value: Result<T, UnitError>) -> T {
    value.expect("a constant within its quantity's bounds")
}
