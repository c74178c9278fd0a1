//! The spellings of one and the same unit, and what they amount to.

use super::*;

fn unit(text: &str) -> Unit {
    Unit::parse(text).unwrap_or_else(|error| panic!("{text}: {}", error.message(text)))
}

fn shown(text: &str) -> String {
    match read(text) {
        Ok(UnitReading {
            unit,
            forgiven: None,
        }) => unit.to_string(),
        Ok(UnitReading {
            unit,
            forgiven: Some(forgiven),
        }) => format!("{unit} ({forgiven})"),
        Err(error) => error.message(text),
    }
}

#[test]
fn one_acceleration_in_many_spellings() {
    for text in [
        "m/s^2",
        "m/s2",
        "m s^-2",
        "ms^-2",
        "ms-2",
        "ms⁻²",
        "m·s⁻²",
        "m.s-2",
        "m*s^-2",
        "m s⁻²",
        "m/s²",
        "m ⋅ s^(-2)",
        "m s−2",
        "m/s**2",
        "m/(s s)",
        "(m/s)/s",
        "m s^{-2}",
    ] {
        assert_eq!(shown(text), "m/s²", "{text}");
    }
    for (text, expected) in [
        ("m/s/s", "m/s² (two slashes)"),
        ("metres per second squared", "m/s² (unit in words)"),
        ("Meters per second per second", "m/s² (unit in words)"),
        ("metre per square second", "m/s² (unit in words)"),
        ("m per s squared", "m/s² (unit in words)"),
        ("N/kg", "N/kg"),
    ] {
        assert_eq!(shown(text), expected, "{text}");
    }
}

#[test]
fn symbols_before_prefixes_before_names_before_runs() {
    for (text, expected) in [
        ("min", "min"),
        ("ft", "ft"),
        ("cd", "cd"),
        ("Pa", "Pa"),
        ("PS", "PS"),
        ("ms", "ms"),
        ("mN", "mN"),
        ("MN", "MN"),
        ("mm", "mm"),
        ("kg", "kg"),
        ("Mg", "Mg"),
        ("dam", "dam"),
        ("um", "µm"),
        ("μm", "µm"),
        ("kohm", "kΩ"),
        ("degC", "°C"),
        ("gal(UK)", "gal(UK)"),
        ("hp(e)", "hp(e)"),
        ("h", "h"),
        ("ha", "ha"),
        ("hPa", "hPa"),
        ("kWh", "kWh"),
        ("kgm/s2", "kg m/s² (symbols run together)"),
        ("Nm", "N m (symbols run together)"),
        ("kNm", "kN m (symbols run together)"),
        ("mNm", "mN m (symbols run together)"),
        ("kgms^-1", "kg m/s (symbols run together)"),
        ("kms-1", "km/s (symbols run together)"),
        ("rads^-1", "rad/s (symbols run together)"),
        ("J/kgK", "J/(kg K) (symbols run together)"),
        ("Kg", "kg (capital or small letter)"),
        ("KN", "kN (capital or small letter)"),
        ("Newtons", "N (unit in words)"),
        ("kilometers per hour", "km/h (unit in words)"),
        ("newton-metres", "N m (unit in words)"),
        ("newton metre", "N m (unit in words)"),
        ("joules per kilogram kelvin", "J/(kg K) (unit in words)"),
        ("degrees Celsius", "°C (unit in words)"),
        ("feet", "ft (unit in words)"),
        ("cubic centimetres", "cm³ (unit in words)"),
        ("sec", "s (spelling of the unit)"),
        ("kmh", "km/h (spelling of the unit)"),
        ("1/s", "s⁻¹"),
        ("per second", "s⁻¹ (unit in words)"),
        ("N-m", "N m"),
        ("1", "1"),
        ("m^(1/2)", "m^(1/2)"),
        ("mm^-1", "mm⁻¹"),
        ("%", "%"),
        ("kg m²/s²", "kg m²/s²"),
        ("(kg m)²", "kg² m²"),
        ("m/m", "1"),
    ] {
        assert_eq!(shown(text), expected, "{text}");
    }
}

#[test]
fn refuses_and_says_why() {
    for (text, expected) in [
        (
            "kg/m/s2",
            "`kg/m/s2` can mean `kg/(m s²)` or `kg s²/m`; write the one that is meant",
        ),
        (
            "J/kg K",
            "`J/kg K` can mean `J/(kg K)` or `J K/kg`; write the one that is meant",
        ),
        (
            "m/s^-2",
            "`m/s^-2` can mean `m/s²` or `m s²`; write the one that is meant",
        ),
        (
            "Nms",
            "`Nms` can mean `N m s` or `N ms`; write the one that is meant",
        ),
        (
            "Cm",
            "`Cm` can mean `cm` or `C m`; write the one that is meant",
        ),
        ("", "expected a unit, found nothing"),
        (
            "furlong",
            "expected a unit, found `furlong`, which is not one",
        ),
        ("m/", "expected a unit, found nothing"),
        ("m^", "expected a power such as 2, -1 or (1/2), found `^`"),
        (
            "m^999",
            "expected a power such as 2, -1 or (1/2), found `^`",
        ),
        (
            "mkg^(1/0)",
            "expected a power such as 2, -1 or (1/2), found `^`",
        ),
        ("(m", "expected a closing bracket, found nothing"),
        ("m)", "expected the end of the unit, found `)`"),
        ("2 m", "expected a unit, found `2`"),
        ("M", "expected a unit, found `M`, which is not one"),
        ("kkg", "expected a unit, found `kkg`, which is not one"),
    ] {
        assert_eq!(shown(text), expected, "{text}");
    }
    assert_eq!(read(&"(".repeat(100)), Err(UnitError::TooMuch));
    assert_eq!(read(&"m".repeat(100_000)), Err(UnitError::TooMuch));
    assert_eq!(
        Unit::parse("Kg").unwrap_err().message("Kg"),
        "expected `kg`, found `Kg` (capital or small letter)"
    );
    assert!(Unit::parse("kgm").is_ok());
}

#[test]
fn factors_offsets_angles() {
    assert_eq!(unit("km/h").factor(), 1000.0 / 3600.0);
    assert_eq!(unit("cm^3").factor(), 1e-6);
    assert_eq!(unit("kg").factor(), 1.0);
    // The power of ten in it, 10⁻³²⁰, has four figures as an f64; the factor has all of them.
    let electronvolts = unit("peV^8").factor() / 4.341_933_322_635_925e-247;
    assert!((electronvolts - 1.0).abs() < 1e-14, "{electronvolts}");
    assert_eq!(unit("m/s^2"), unit("m s^-2"));
    assert!(unit("N/kg").equivalent(&unit("m/s^2")));
    assert!(!unit("N/kg").same_as(&unit("m/s^2")));
    assert!(unit("m N").same_as(&unit("N m")));
    assert_eq!(unit("°C").to_si(20.0), 293.15);
    assert!((unit("degF").to_si(32.0) - 273.15).abs() < 1e-9);
    assert_eq!(unit("J/(kg °C)").offset(), 0.0);
    assert_eq!(
        unit("°C").exact_offset(),
        BigRational::new(27315.into(), 100.into())
    );
    assert!(unit("rev").is_turns() && unit("r").is_turns());
    assert!(!unit("deg").is_turns() && !unit("rad").is_turns() && !unit("rev/s").is_turns());
    assert!(unit("deg").is_angle() && unit("rad").is_angle() && !unit("rad/s").is_angle());
    assert_eq!(unit("deg").exact_factor(), None);
    assert_eq!(
        unit("km/h").exact_factor(),
        Some(BigRational::new(5.into(), 18.into()))
    );
    assert_eq!(unit("m^(1/2)").dimension().to_string(), "m^(1/2)");
    assert!(unit("J").equivalent(&unit("N m")));
}
