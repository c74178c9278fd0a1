//! The units, as data. Adding one is adding a line to [`ROWS`].
//!
//! In: nothing. Out: for each unit its symbols, its names, what it is, which prefixes it takes;
//! and the spellings that are wrong but plain. `lookup` makes them ready for use.
//!
//! A row says what a unit *is* in units of the rows above it: numbers and ratios, `pi`, symbols
//! with whole powers, all multiplied. Definitions: SI Brochure, 9th edition, tables 2, 4 and 8;
//! NIST SP 811, appendix B.8, for the rest. `tests/suite/units.rs` holds every factor against
//! the published value and against an independent library.

use crate::quantity::prefix::Prefix;

/// Which prefixes a unit is used with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Prefixes {
    /// None at all.
    Never,
    /// kilo and above, as with the tonne.
    Large,
    /// All 24.
    All,
}

use Prefixes::{All, Large, Never};

impl Prefixes {
    pub(crate) fn take(self, power: i8) -> bool {
        match self {
            Never => false,
            Large => power >= 3,
            All => true,
        }
    }
}

/// One unit as written down below.
pub(crate) struct Row {
    /// Symbols apart by blanks; the first is the one printed.
    pub(crate) symbols: &'static str,
    /// Names in small letters, apart by commas; a plural in s need not be named.
    pub(crate) names: &'static str,
    /// What it is in units above; `[mass]` and so on for a base dimension.
    pub(crate) is: &'static str,
    pub(crate) prefixes: Prefixes,
    /// The kelvin reading at its zero point, for temperature scales.
    pub(crate) zero: &'static str,
    /// Whether it measures angles.
    pub(crate) angle: bool,
}

impl Row {
    pub(crate) fn symbol(&self) -> &'static str {
        self.symbols.split(' ').next().unwrap_or(self.symbols)
    }
}

const fn row(
    symbols: &'static str,
    names: &'static str,
    is: &'static str,
    prefixes: Prefixes,
) -> Row {
    Row {
        symbols,
        names,
        is,
        prefixes,
        zero: "0",
        angle: false,
    }
}

const fn angle(
    symbols: &'static str,
    names: &'static str,
    is: &'static str,
    prefixes: Prefixes,
) -> Row {
    Row {
        angle: true,
        ..row(symbols, names, is, prefixes)
    }
}

const fn scale(
    symbols: &'static str,
    names: &'static str,
    is: &'static str,
    zero: &'static str,
) -> Row {
    Row {
        zero,
        ..row(symbols, names, is, Never)
    }
}

/// Every unit; a row uses only rows above it.
#[rustfmt::skip]
pub(crate) const ROWS: &[Row] = &[
    // Base units; multiples of mass are formed on the gram.
    row("m", "metre, meter", "[length]", All),
    row("g", "gram, gramme", "1/1000 [mass]", All),
    row("s", "second", "[time]", All),
    row("A", "ampere, amp", "[current]", All),
    row("K", "kelvin", "[temperature]", All),
    row("mol", "mole", "[amount]", All),
    row("cd", "candela", "[luminous]", All),
    // The 22 derived units with names of their own. The radian is 1.
    angle("rad", "radian", "1", All),
    row("sr", "steradian", "1", All),
    row("Hz", "hertz", "s^-1", All),
    row("N", "newton", "1000 g m s^-2", All),
    row("Pa", "pascal", "N m^-2", All),
    row("J", "joule", "N m", All),
    row("W", "watt", "J s^-1", All),
    row("C", "coulomb", "A s", All),
    row("V", "volt", "W A^-1", All),
    row("F", "farad", "C V^-1", All),
    row("Ω \u{2126} ohm", "ohm", "V A^-1", All),
    row("S", "siemens", "A V^-1", All),
    row("Wb", "weber", "V s", All),
    row("T", "tesla", "Wb m^-2", All),
    row("H", "henry, henries", "Wb A^-1", All),
    scale("°C degC ºC ℃", "degree celsius, degrees celsius, celsius", "K", "273.15"),
    scale("°F degF ºF ℉", "degree fahrenheit, degrees fahrenheit, fahrenheit", "5/9 K", "45967/180"),
    row("lm", "lumen", "cd sr", All),
    row("lx", "lux", "lm m^-2", All),
    row("Bq", "becquerel", "s^-1", All),
    row("Gy", "gray", "1/1000 J g^-1", All),
    row("Sv", "sievert", "1/1000 J g^-1", All),
    row("kat", "katal", "mol s^-1", All),
    // In use with the SI.
    row("min", "minute", "60 s", Never),
    row("h", "hour", "60 min", Never),
    row("d", "day", "24 h", Never),
    angle("° deg º", "degree", "1/180 pi rad", Never),
    angle("′ arcmin", "arcminute, arc minute, minute of arc", "1/60 °", Never),
    angle("″ arcsec", "arcsecond, arc second, second of arc", "1/60 ′", Never),
    row("ha", "hectare", "10000 m^2", Never),
    row("L l ℓ", "litre, liter", "1/1000 m^3", All),
    row("t", "tonne, metric ton", "1000000 g", Large),
    row("au", "astronomical unit", "149597870700 m", Never),
    row("eV", "electronvolt, electron volt", "1.602176634e-19 J", All),
    row("%", "percent, per cent", "1/100", Never),
    row("‰", "permille", "1/1000", Never),
    // Angles by turns.
    angle("r rev", "revolution, turn", "2 pi rad", Never),
    angle("gon", "gon, gradian", "1/200 pi rad", Never),
    row("rpm", "", "rev min^-1", Never),
    // Lengths, areas, volumes.
    row("in", "inch, inches", "0.0254 m", Never),
    row("ft", "foot, feet", "12 in", Never),
    row("yd", "yard", "3 ft", Never),
    row("mi", "mile", "1760 yd", Never),
    row("nmi", "nautical mile", "1852 m", Never),
    row("Å \u{212b}", "angstrom, ångström", "1e-10 m", Never),
    row("ly", "light year, light-year, lightyear", "9460730472580800 m", Large),
    row("pc", "parsec", "648000 pi^-1 au", Large),
    row("gal", "gallon", "231 in^3", Never),
    row("gal(UK)", "imperial gallon", "4.54609 L", Never),
    // Speeds and accelerations.
    row("mph", "", "mi h^-1", Never),
    row("kn", "knot", "nmi h^-1", Never),
    row("g_n", "standard gravity", "9.80665 m s^-2", Never),
    row("Gal", "galileo", "0.01 m s^-2", All),
    // Masses and forces.
    row("lb lbm", "pound", "453.59237 g", Never),
    row("oz", "ounce", "1/16 lb", Never),
    row("lbf", "pound-force, pound force, pounds force, pounds-force", "lb g_n", Never),
    row("slug", "slug", "lbf s^2 ft^-1", Never),
    row("kgf", "kilogram-force, kilogram force", "1000 g g_n", Never),
    row("dyn", "dyne", "1e-5 N", All),
    row("pdl", "poundal", "lb ft s^-2", Never),
    // Pressures.
    row("bar", "bar", "100000 Pa", All),
    row("atm", "atmosphere, standard atmosphere", "101325 Pa", Never),
    row("Torr", "torr", "1/760 atm", All),
    row("mmHg", "millimetre of mercury, millimeter of mercury", "133.322387415 Pa", Never),
    row("at", "technical atmosphere", "98066.5 Pa", Never),
    row("psi", "pound per square inch, pounds per square inch", "lbf in^-2", Never),
    // Energies and powers. A bare calorie is the thermochemical one, as in school books.
    row("cal cal_th", "calorie, thermochemical calorie", "4.184 J", All),
    row("cal_IT", "international calorie", "4.1868 J", All),
    row("Wh", "watt hour, watt-hour", "W h", All),
    row("erg", "erg", "1e-7 J", All),
    row("Btu", "british thermal unit", "1055.05585262 J", Never),
    row("hp", "horsepower", "550 ft lbf s^-1", Never),
    row("PS", "metric horsepower", "735.49875 W", Never),
    row("hp(e)", "electric horsepower", "746 W", Never),
];

/// A unit of the table, for the tests that walk it.
#[derive(Clone, Copy, Debug)]
pub struct KnownUnit {
    /// The symbol it is printed with.
    pub symbol: &'static str,
    /// All symbols, apart by blanks.
    pub symbols: &'static str,
    /// Names in the singular, apart by commas; empty where it has none of its own.
    pub names: &'static str,
    prefixes: Prefixes,
}

impl KnownUnit {
    /// Whether it is used with this prefix.
    pub fn takes(&self, prefix: &Prefix) -> bool {
        self.prefixes.take(prefix.power)
    }
}

/// All units in the order of the table.
pub fn known() -> impl Iterator<Item = KnownUnit> {
    ROWS.iter().map(|row| KnownUnit {
        symbol: row.symbol(),
        symbols: row.symbols,
        names: row.names,
        prefixes: row.prefixes,
    })
}

/// Spellings that are wrong but plain, with what they stand for; two readings apart by ` | `
/// are asked about. Each is noted where met.
#[rustfmt::skip]
pub(crate) const PLAIN: &[(&str, &str)] = &[
    ("sec", "s"), ("secs", "s"), ("mins", "min"), ("hr", "h"), ("hrs", "h"),
    ("gms", "g"), ("kgs", "kg"), ("kilo", "kg"), ("kilos", "kg"), ("cms", "cm"), ("kms", "km"),
    ("mtr", "m"), ("mtrs", "m"), ("kph", "km/h"), ("kmh", "km/h"), ("kmph", "km/h"),
    ("mps", "m/s"), ("cc", "cm^3"), ("ltr", "L"), ("ltrs", "L"), ("rads", "rad"), ("revs", "rev"),
    ("degs", "°"), ("lbs", "lb"), ("ev", "eV"), ("Ev", "eV"), ("gm", "g"), ("KG", "kg"), ("KM", "km"),
    ("pa", "Pa"), ("hz", "Hz"), ("HZ", "Hz"), ("kpa", "kPa"), ("hpa", "hPa"), ("GPA", "GPa"),
    ("j", "J"), ("kj", "kJ"), ("kw", "kW"), ("kv", "kV"), ("Mol", "mol"), ("MIN", "min"),
    ("Min", "min"), ("Rad", "rad"), ("RAD", "rad"), ("Lb", "lb"), ("khz", "kHz"),
    ("Cm", "cm | C m"), ("Cd", "cd | C d"), ("CM", "cm"), ("Ft", "ft"), ("HP", "hp"), ("RPM", "rpm"), ("MPH", "mph"),
];

/// Whole units as they are mostly written, so that most entries need no closer reading. Speed
/// alone: each means what it means without this list, which a test holds.
#[rustfmt::skip]
pub(crate) const OFTEN: &[&str] = &[
    "m/s^2", "m/s²", "m/s2", "m s^-2", "m s-2", "m s⁻²", "ms^-2", "ms-2", "ms⁻²", "m·s⁻²", "N/kg",
    "m/s", "m s^-1", "m s⁻¹", "ms^-1", "ms-1", "ms⁻¹", "m·s⁻¹", "km/h", "cm/s", "mm/s",
    "m", "cm", "mm", "km", "µm", "nm", "m^2", "m²", "m2", "cm^2", "cm²", "m^3", "m³", "cm^3", "cm³",
    "kg", "g", "mg", "t", "s", "ms", "min", "h", "N", "kN", "mN", "MN", "J", "kJ", "mJ", "MJ",
    "W", "kW", "MW", "Pa", "kPa", "MPa", "Hz", "kHz", "N m", "N·m", "kg m^2", "kg m²", "kg·m²",
    "kg m/s", "kg·m/s", "kg m s^-1", "kg m s⁻¹", "N s", "N·s", "N/m", "J/kg", "kg/m^3", "kg/m³",
    "J/(kg K)", "kg m^2/s", "kg m²/s", "kg·m²/s", "s^-1", "s⁻¹", "1/s",
    "rad", "rad/s", "rad s^-1", "rad s⁻¹", "rad/s^2", "rad/s²", "rad s⁻²", "deg", "°", "%", "K", "°C",
    "V", "mV", "kV", "A", "mA", "Ω", "kΩ", "C", "µC", "nC", "F", "µF", "T", "mT", "eV", "L", "mL",
];
