//! Units, in any spelling.
//!
//! Held: a unit as printed is the same unit; what files may write is what answers may write; products,
//! quotients and powers keep to the dimensions; the exact factor is the nearest one; a refusal has words and
//! a place in the text.

use num_traits::ToPrimitive as _;
use paperweight::quantity::{Dimension, Exponent, Quantity, Unit, UnitError, unit};

use super::feed::Feed;
use super::told;

pub fn run(bytes: &[u8]) {
    let mut feed = Feed::new(bytes);
    let one = whole(&feed.text());
    let other = whole(&feed.text());
    if let (Some(one), Some(other)) = (one, other) {
        together(&one, &other);
    }
}

fn whole(text: &str) -> Option<Unit> {
    refusals(text);
    let strict = Unit::parse(text);
    let found = match unit::read(text) {
        Ok(reading) => reading.unit,
        Err(error) => {
            assert!(strict.is_err(), "{text:?} is for files alone");
            refused(text, &error);
            return None;
        }
    };
    if let Ok(strict) = strict {
        assert!(strict.same_as(&found), "{text:?}");
    }
    let printed = found.to_string();
    told::is_clean(&printed);
    told::is_clean(&found.printed());
    let back = Unit::parse(&printed);
    assert!(
        back.is_ok_and(|back| back.same_as(&found)),
        "{text:?}: {printed:?}"
    );
    let back = unit::read(&found.printed());
    let same = found.is_one() || back.is_ok_and(|back| back.unit.same_as(&found));
    assert!(same, "{text:?}: {:?}", found.printed());
    assert!(
        found.factor() > 0.0 && found.factor().is_finite(),
        "{text:?}"
    );
    if let Some(exact) = found.exact_factor() {
        let exact = exact.to_f64().unwrap();
        assert!(
            (exact / found.factor() - 1.0).abs() < 1e-11,
            "{text:?}: {exact}"
        );
    }
    Some(found)
}

fn refused(text: &str, error: &UnitError) {
    let (start, end) = error.place(text);
    assert!(
        start <= end && text.get(start..end).is_some(),
        "{text:?}: {error:?}"
    );
    assert!(!error.message(text).is_empty());
}

/// The same as a quantity, which is refused with a place, too.
fn refusals(text: &str) {
    for number in ["1 ", "0.50", ""] {
        let text = format!("{number}{text}");
        match Quantity::parse(&text) {
            Ok(quantity) => {
                let back = Quantity::parse(&quantity.to_string()).unwrap();
                assert!(back.unit.same_as(&quantity.unit), "{text:?}");
                assert_eq!(back.numeral, quantity.numeral, "{text:?}");
                assert!(!quantity.si().is_nan());
            }
            Err(error) => {
                let (start, end) = error.place(&text);
                assert!(text.get(start..end).is_some(), "{text:?}: {error:?}");
                assert!(!error.message(&text).is_empty());
            }
        }
    }
}

fn together(one: &Unit, other: &Unit) {
    let product = one.checked_mul(other);
    if let Some(product) = product {
        let dimension = one.dimension().checked_mul(other.dimension());
        assert_eq!(dimension, Some(product.dimension()));
        if let Some(back) = product.checked_div(other) {
            assert_eq!(back.dimension(), one.dimension());
        }
        let swapped = other
            .checked_mul(one)
            .map(|swapped| swapped.same_as(&product));
        assert_eq!(swapped, Some(true));
    }
    if let Some(ratio) = one.checked_div(one) {
        assert_eq!(ratio.dimension(), Dimension::NONE);
    }
    for (num, den) in [(-1, 1), (1, 2), (3, 1), (-5, 3)] {
        let power = Exponent::new(num, den).unwrap();
        if let Some(raised) = one.checked_pow(power) {
            assert_eq!(one.dimension().checked_pow(power), Some(raised.dimension()));
        }
    }
    assert_eq!(one.equivalent(other), other.equivalent(one));
}
