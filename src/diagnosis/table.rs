//! The mistakes that are looked for in equations: one entry each, the most common first.
//!
//! In: an equation and what its assignment is made of. Out: the equation as a student may have written it,
//! with the piece that was altered. To add a mistake, add an entry: how it alters a piece, and its words.
//! The order is a judgement of common practice; it breaks ties for the eye and says nothing of strength.

use crate::formula::tree::{Equation, Expr, Function, Node, Operator};
use crate::quantity::{Dimension, Exponent, Numeral};

use super::rewrite::{Change, Spot, everywhere, put_in, whole};
use super::scene::{Scene, piece};

/// A mistake.
pub(super) struct Rule {
    /// What a piece becomes.
    alter: fn(&Scene<'_>, &str, Spot<'_>) -> Vec<Change>,
    /// For the teacher; `{}` is the piece.
    pub(super) says: &'static str,
    /// For the student, tentative: no number, no formula.
    pub(super) hint: &'static str,
}

/// All mistakes.
pub(super) static RULES: [Rule; 17] = [
    Rule {
        alter: |_, text, spot| left_out(text, spot),
        says: "{} left out",
        hint: "one term is left out",
    },
    Rule {
        alter: |_, text, spot| turned(text, spot),
        says: "the sign of {} turned",
        hint: "one term has the other sign",
    },
    Rule {
        alter: other_quantity,
        says: "{}",
        hint: "one quantity stands in the place of another",
    },
    Rule {
        alter: |scene, text, spot| constant_left_out(scene, text, spot),
        says: "the factor {} left out",
        hint: "one factor is left out",
    },
    Rule {
        alter: |_, text, spot| other_function(text, spot),
        says: "{}",
        hint: "another function of the angle is used",
    },
    Rule {
        alter: |scene, text, spot| degrees_as_radians(scene, text, spot),
        says: "{} in degrees taken as radians",
        hint: "an angle is taken in radians instead of degrees",
    },
    Rule {
        alter: |_, text, spot| not_squared(text, spot),
        says: "{} not squared",
        hint: "a square is left out",
    },
    Rule {
        alter: |_, text, spot| no_root(text, spot),
        says: "the root of {} not taken",
        hint: "a root is left out",
    },
    Rule {
        alter: |_, text, spot| number_left_out(text, spot),
        says: "the number {} left out",
        hint: "a number in front is left out",
    },
    Rule {
        alter: |_, text, spot| other_number(text, spot),
        says: "{}",
        hint: "a number in front is another one",
    },
    Rule {
        alter: |_, text, spot| turned_over(text, spot),
        says: "{} turned over",
        hint: "a quotient is turned over",
    },
    Rule {
        alter: |_, text, spot| divided(text, spot),
        says: "divided in {} instead of multiplied",
        hint: "something is divided that has to be multiplied, or the reverse",
    },
    Rule {
        alter: added,
        says: "{}",
        hint: "something is added that does not belong there",
    },
    Rule {
        alter: other_length,
        says: "{}",
        hint: "a radius is taken for a diameter, or the reverse",
    },
    Rule {
        alter: |scene, text, spot| other_inertia(scene, text, spot),
        says: "{}",
        hint: "the moment of inertia is that of another body",
    },
    Rule {
        alter: inertia_for_mass,
        says: "{}",
        hint: "a moment of inertia stands in the place of a mass",
    },
    Rule {
        alter: |scene, text, spot| taken_equal(scene, text, spot),
        says: "{} taken as equal",
        hint: "two quantities are taken as equal that are not",
    },
];

/// The place of the rule for other quantities.
const OTHER_QUANTITY: usize = 2;

/// An equation with another body's quantity in all places of one: the whole equation of another body.
fn throughout(scene: &Scene<'_>, equation: &Equation) -> Vec<(Equation, String)> {
    let mut names: Vec<&str> = Vec::new();
    let mut twice: Vec<&str> = Vec::new();
    equation.names(&mut |name, _| {
        if names.contains(&name) && !twice.contains(&name) {
            twice.push(name);
        }
        names.push(name);
    });
    let mut all = Vec::new();
    for name in twice {
        let own = scene.stand_ins.iter().find(|at| at.text == name);
        let Some(own) = own.filter(|own| !own.dimension.is_none()) else {
            continue;
        };
        let others = scene
            .stand_ins
            .iter()
            .filter(|other| other.dimension == own.dimension && other.text != name);
        for other in others {
            let what = format!("`{}` in all places of `{name}`", other.text);
            all.push((put_in(equation, name, &other.expr), what));
        }
    }
    all
}

/// An equation as a student may have written it.
pub(super) struct Altered {
    pub(super) rule: &'static Rule,
    pub(super) equation: Equation,
    /// The piece, in the words of the rule.
    pub(super) what: String,
}

impl Altered {
    /// What was done, for the teacher.
    pub(super) fn says(&self) -> String {
        self.rule.says.replace("{}", &self.what)
    }
}

/// All that may have been done wrong in an equation; `text` is what stands in the file.
pub(super) fn alterations(scene: &Scene<'_>, text: &str, equation: &Equation) -> Vec<Altered> {
    let mut all: Vec<Altered> = Vec::new();
    for rule in &RULES {
        let mut found = everywhere(equation, &|spot| (rule.alter)(scene, text, spot));
        for derived in &scene.assignment.derived {
            let mut is_used = false;
            equation.names(&mut |name, _| is_used |= name == derived.name);
            if is_used {
                let own = scene.text_at(derived.span);
                let changed = whole(&derived.expr, &|spot| (rule.alter)(scene, own, spot));
                found.extend(changed.into_iter().map(|change| {
                    let altered = put_in(equation, &derived.name, &change.by);
                    (altered, change.what)
                }));
            }
        }
        if std::ptr::eq(rule, &RULES[OTHER_QUANTITY]) {
            found.extend(throughout(scene, equation));
        }
        for (altered, what) in found {
            if altered != *equation && all.iter().all(|known| known.equation != altered) {
                all.push(Altered {
                    rule,
                    equation: altered,
                    what,
                });
            }
        }
    }
    all
}

fn quoted(text: &str, expr: &Expr) -> String {
    format!("`{}`", piece(text, expr.span))
}

fn with(expr: &Expr, node: Node) -> Expr {
    Expr {
        node,
        span: expr.span,
    }
}

fn number(expr: &Expr, text: &str) -> Option<Expr> {
    Some(with(expr, Node::Number(Numeral::parse(text).ok()?)))
}

fn binary(expr: &Expr, operator: Operator, left: Expr, right: Expr) -> Expr {
    with(
        expr,
        Node::Binary(operator, Box::new(left), Box::new(right)),
    )
}

fn negated(expr: &Expr) -> Expr {
    with(expr, Node::Negate(Box::new(expr.clone())))
}

/// The sides of a sum.
fn sum(expr: &Expr) -> Option<(bool, &Expr, &Expr)> {
    match &expr.node {
        Node::Binary(Operator::Add, left, right) => Some((false, left, right)),
        Node::Binary(Operator::Subtract, left, right) => Some((true, left, right)),
        _ => None,
    }
}

fn is_zero(expr: &Expr) -> bool {
    matches!(&expr.node, Node::Number(number) if number.is_zero())
}

fn left_out(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let mut changes = Vec::new();
    match sum(expr) {
        Some((subtracted, left, right)) => {
            if sum(left).is_none() {
                let by = if subtracted {
                    negated(right)
                } else {
                    right.clone()
                };
                changes.push(Change {
                    by,
                    what: quoted(text, left),
                });
            }
            if sum(right).is_none() {
                changes.push(Change {
                    by: left.clone(),
                    what: quoted(text, right),
                });
            }
        }
        // A side that is one term, such as the inertia.
        None if spot.is_side && !matches!(expr.node, Node::Name(_)) && !is_zero(expr) => {
            if let Some(zero) = number(expr, "0") {
                changes.push(Change {
                    by: zero,
                    what: quoted(text, expr),
                });
            }
        }
        None => {}
    }
    changes
}

fn turned(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let mut changes = Vec::new();
    match sum(expr) {
        Some((subtracted, left, right)) => {
            let operator = |subtract| {
                if subtract {
                    Operator::Subtract
                } else {
                    Operator::Add
                }
            };
            if sum(left).is_none() {
                changes.push(Change {
                    by: binary(expr, operator(subtracted), negated(left), right.clone()),
                    what: quoted(text, left),
                });
            }
            changes.push(Change {
                by: binary(expr, operator(!subtracted), left.clone(), right.clone()),
                what: quoted(text, right),
            });
        }
        None if spot.is_side && !is_zero(expr) => changes.push(Change {
            by: negated(expr),
            what: quoted(text, expr),
        }),
        None => {}
    }
    changes
}

/// A name, or a sum, with another of its dimension in its place.
fn other_quantity(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let own = piece(text, expr.span);
    let is_sum = matches!(
        expr.node,
        Node::Binary(Operator::Add | Operator::Subtract, ..)
    );
    if !is_sum && !matches!(expr.node, Node::Name(_)) {
        return Vec::new();
    }
    let Some(dimension) = scene.dimension(expr).filter(|found| !found.is_none()) else {
        return Vec::new();
    };
    let others = scene.stand_ins.iter();
    let others = others.filter(|other| other.dimension == dimension && other.text != own);
    others
        .map(|other| Change {
            by: with(expr, other.expr.node.clone()),
            what: format!("`{}` in the place of `{own}`", other.text),
        })
        .collect()
}

/// A weight, a product with a constant such as g, of anything else that may have one: of another body, of
/// several.
pub(super) fn other_weights(scene: &Scene<'_>, text: &str, expr: &Expr) -> Vec<(String, Expr)> {
    let Node::Binary(Operator::Multiply, left, right) = &expr.node else {
        return Vec::new();
    };
    let is_constant = |expr: &Expr| match &expr.node {
        Node::Name(name) => scene.assignment.givens.iter().any(|given| {
            given.name == *name && given.draw.count() == 1 && !given.unit.dimension().is_none()
        }),
        _ => false,
    };
    let (of, constant) = match (is_constant(left), is_constant(right)) {
        (true, false) => (right, left),
        (false, true) => (left, right),
        _ => return Vec::new(),
    };
    let Some(dimension) = scene.dimension(of) else {
        return Vec::new();
    };
    let others = scene
        .stand_ins
        .iter()
        .filter(|at| at.dimension == dimension);
    others
        .map(|other| {
            let stand_in = with(of, other.expr.node.clone());
            let product = binary(expr, Operator::Multiply, stand_in, (**constant).clone());
            let name = piece(text, constant.span);
            let words = if other.text.contains(' ') {
                format!("({})*{name}", other.text)
            } else {
                format!("{}*{name}", other.text)
            };
            (words, product)
        })
        .collect()
}

/// A product without one of its factors.
fn without(expr: &Expr, is_meant: &dyn Fn(&Expr) -> bool) -> Vec<(Expr, Expr)> {
    let mut found = Vec::new();
    match &expr.node {
        Node::Binary(Operator::Multiply, left, right) => {
            if is_meant(right) {
                found.push(((**left).clone(), (**right).clone()));
            }
            if is_meant(left) {
                found.push(((**right).clone(), (**left).clone()));
            }
        }
        Node::Binary(Operator::Divide, left, right) if is_meant(right) => {
            found.push(((**left).clone(), (**right).clone()));
        }
        _ => {}
    }
    found
}

fn left_out_of(text: &str, expr: &Expr, is_meant: &dyn Fn(&Expr) -> bool) -> Vec<Change> {
    let found = without(expr, is_meant).into_iter();
    found
        .map(|(by, gone)| Change {
            by,
            what: format!("{} in {}", quoted(text, &gone), quoted(text, expr)),
        })
        .collect()
}

/// A constant, such as g, or a function, such as a cosine, left out of a product.
fn constant_left_out(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let is_fixed = |name: &str| {
        let mut givens = scene.assignment.givens.iter();
        givens.any(|given| given.name == name && given.draw.count() == 1)
    };
    left_out_of(text, spot.expr, &|factor| match &factor.node {
        Node::Name(name) => is_fixed(name),
        Node::Call(function, _) => {
            matches!(function, Function::Sin | Function::Cos | Function::Tan)
        }
        _ => false,
    })
}

fn number_left_out(text: &str, spot: Spot<'_>) -> Vec<Change> {
    left_out_of(text, spot.expr, &|factor| match &factor.node {
        Node::Number(number) => !number.is_zero(),
        Node::Binary(Operator::Divide, left, right) => {
            matches!(left.node, Node::Number(_)) && matches!(right.node, Node::Number(_))
        }
        _ => false,
    })
}

fn other_function(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let Node::Call(function, arguments) = &spot.expr.node else {
        return Vec::new();
    };
    let angles = [Function::Sin, Function::Cos, Function::Tan];
    let inverse = [Function::Asin, Function::Acos, Function::Atan];
    let family = [angles, inverse]
        .into_iter()
        .find(|at| at.contains(function));
    let others = family
        .into_iter()
        .flatten()
        .filter(|other| other != function);
    others
        .map(|other| Change {
            by: with(spot.expr, Node::Call(other, arguments.clone())),
            what: format!("`{}` for {}", other.name(), quoted(text, spot.expr)),
        })
        .collect()
}

fn degrees_as_radians(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let Node::Call(function, arguments) = &spot.expr.node else {
        return Vec::new();
    };
    let in_degrees = |name: &str| {
        let mut givens = scene.assignment.givens.iter();
        givens.any(|at| at.name == name && at.unit.is_angle() && at.unit.factor() != 1.0)
    };
    let (Function::Sin | Function::Cos | Function::Tan, [argument]) = (function, &arguments[..])
    else {
        return Vec::new();
    };
    let Node::Name(name) = &argument.node else {
        return Vec::new();
    };
    let Some(turn) = number(argument, "180").filter(|_| in_degrees(name)) else {
        return Vec::new();
    };
    let times = binary(argument, Operator::Multiply, argument.clone(), turn);
    let by = binary(argument, Operator::Divide, times, with(argument, Node::Pi));
    vec![Change {
        by: with(spot.expr, Node::Call(*function, vec![by])),
        what: quoted(text, argument),
    }]
}

fn not_squared(text: &str, spot: Spot<'_>) -> Vec<Change> {
    match &spot.expr.node {
        Node::Binary(Operator::Power, base, exponent) if matches!(&exponent.node, Node::Number(number) if number.to_f64() == 2.0) =>
        {
            vec![Change {
                by: (**base).clone(),
                what: quoted(text, base),
            }]
        }
        _ => Vec::new(),
    }
}

fn no_root(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    match &expr.node {
        Node::Call(Function::Sqrt, arguments) => arguments
            .iter()
            .map(|argument| Change {
                by: argument.clone(),
                what: quoted(text, argument),
            })
            .collect(),
        // `v^2 = …` solved for v without the root.
        Node::Binary(Operator::Power, base, exponent)
            if spot.is_side
                && matches!(&exponent.node, Node::Number(number) if number.to_f64() == 2.0) =>
        {
            vec![Change {
                by: (**base).clone(),
                what: quoted(text, expr),
            }]
        }
        _ => Vec::new(),
    }
}

fn turned_over(text: &str, spot: Spot<'_>) -> Vec<Change> {
    match &spot.expr.node {
        Node::Binary(Operator::Divide, left, right) => vec![Change {
            by: binary(
                spot.expr,
                Operator::Divide,
                (**right).clone(),
                (**left).clone(),
            ),
            what: quoted(text, spot.expr),
        }],
        _ => Vec::new(),
    }
}

/// A number taken twice, or the other way round.
fn other_number(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let mut changes = Vec::new();
    for (factor, by) in numbers_in(expr) {
        let Node::Number(number) = &factor.node else {
            continue;
        };
        if number.is_zero() || number.to_f64() == 1.0 {
            continue;
        }
        let own = quoted(text, factor);
        changes.push(Change {
            by: by(binary(
                factor,
                Operator::Multiply,
                factor.clone(),
                factor.clone(),
            )),
            what: format!("the number {own} taken twice"),
        });
    }
    changes
}

/// The numbers that an expression is multiplied or divided by, each with how it is put back.
#[allow(clippy::type_complexity, reason = "a factor and the product around it")]
fn numbers_in(expr: &Expr) -> Vec<(&Expr, Box<dyn Fn(Expr) -> Expr + '_>)> {
    let Node::Binary(operator @ (Operator::Multiply | Operator::Divide), left, right) = &expr.node
    else {
        return Vec::new();
    };
    let mut found: Vec<(&Expr, Box<dyn Fn(Expr) -> Expr + '_>)> = Vec::new();
    if matches!(left.node, Node::Number(_)) {
        found.push((
            left,
            Box::new(|by| binary(expr, *operator, by, (**right).clone())),
        ));
    }
    if matches!(right.node, Node::Number(_)) {
        found.push((
            right,
            Box::new(|by| binary(expr, *operator, (**left).clone(), by)),
        ));
    }
    found
}

/// A product of two names made a quotient, or the reverse.
fn divided(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let is_name = |expr: &Expr| matches!(expr.node, Node::Name(_));
    let (operator, left, right) = match &expr.node {
        Node::Binary(Operator::Multiply, left, right) => (Operator::Divide, left, right),
        Node::Binary(Operator::Divide, left, right) => (Operator::Multiply, left, right),
        _ => return Vec::new(),
    };
    if !is_name(left) || !is_name(right) {
        return Vec::new();
    }
    let mut changes = vec![Change {
        by: binary(expr, operator, (**left).clone(), (**right).clone()),
        what: quoted(text, expr),
    }];
    if operator == Operator::Divide {
        changes.push(Change {
            by: binary(expr, operator, (**right).clone(), (**left).clone()),
            what: quoted(text, expr),
        });
    }
    changes
}

/// A given added to a sum of its dimension that has no place for it.
fn added(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let Some(dimension) = sum(expr).and_then(|_| scene.dimension(expr)) else {
        return Vec::new();
    };
    let mut inside: Vec<&str> = Vec::new();
    expr.names(&mut |name, _| inside.push(name));
    let givens = scene.assignment.givens.iter().filter(|given| {
        given.unit.dimension() == dimension && !inside.contains(&given.name.as_str())
    });
    givens
        .map(|given| {
            let name = with(expr, Node::Name(given.name.clone()));
            Change {
                by: binary(expr, Operator::Add, expr.clone(), name),
                what: format!("`{}` added to {}", given.name, quoted(text, expr)),
            }
        })
        .collect()
}

/// A moment of inertia added to masses as if it were one.
fn inertia_for_mass(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let Some((subtracted, left, right)) = sum(spot.expr) else {
        return Vec::new();
    };
    let is_mass = |found: Dimension| found.name() == Some("mass");
    if subtracted || !scene.dimension(right).is_some_and(is_mass) {
        return Vec::new();
    }
    let is_inertia = |dimension: Dimension| {
        let length = dimension.0[0];
        let mass = dimension.0[1];
        let rest = dimension.0[2..].iter().all(|exponent| exponent.is_zero());
        rest && Some(length) == Exponent::new(2, 1) && Some(mass) == Exponent::new(1, 1)
    };
    let inertias = scene.stand_ins.iter().filter(|at| is_inertia(at.dimension));
    inertias
        .map(|inertia| Change {
            by: binary(
                spot.expr,
                Operator::Add,
                left.clone(),
                with(right, inertia.expr.node.clone()),
            ),
            what: format!("`{}` in the place of {}", inertia.text, quoted(text, right)),
        })
        .collect()
}

/// A length twice or half as long.
fn other_length(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let one = Exponent::new(1, 1);
    let is_length = |found: Dimension| {
        let [first, rest @ ..] = found.0;
        Some(first) == one && rest.iter().all(|exponent| exponent.is_zero())
    };
    let is_given = |name: &str| {
        scene
            .assignment
            .givens
            .iter()
            .any(|given| given.name == name)
    };
    let Node::Name(name) = &expr.node else {
        return Vec::new();
    };
    if !is_given(name) || !scene.dimension(expr).is_some_and(is_length) {
        return Vec::new();
    }
    let Some(two) = number(expr, "2") else {
        return Vec::new();
    };
    let own = quoted(text, expr);
    vec![
        Change {
            by: binary(expr, Operator::Multiply, two.clone(), expr.clone()),
            what: format!("twice {own} in its place"),
        },
        Change {
            by: binary(expr, Operator::Divide, expr.clone(), two),
            what: format!("half of {own} in its place"),
        },
    ]
}

/// Numbers in front of m R²: of a hoop or a point, a disc, a ball, a hollow ball.
const INERTIAS: [(&str, &str); 4] = [("1", "1"), ("1", "2"), ("2", "5"), ("2", "3")];

/// A number in front of a product with a mass and a square of a length.
fn other_inertia(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let value = match &expr.node {
        Node::Number(number) => Some(number.to_f64()),
        Node::Binary(Operator::Divide, left, right) => match (&left.node, &right.node) {
            (Node::Number(left), Node::Number(right)) => Some(left.to_f64() / right.to_f64()),
            _ => None,
        },
        _ => None,
    };
    let inertia = |(above, below): (&str, &str)| -> Option<(f64, Expr)> {
        let (above, below) = (number(expr, above)?, number(expr, below)?);
        let (Node::Number(a), Node::Number(b)) = (&above.node, &below.node) else {
            return None;
        };
        let value = a.to_f64() / b.to_f64();
        Some((value, binary(expr, Operator::Divide, above, below)))
    };
    let known: Vec<(f64, Expr)> = INERTIAS.into_iter().filter_map(inertia).collect();
    let Some(value) = value.filter(|value| known.iter().any(|(of, _)| of == value)) else {
        return Vec::new();
    };
    // Elsewhere a half is no body's.
    let has_mass =
        scene.assignment.givens.iter().any(|given| {
            given.unit.dimension().name() == Some("mass") && text.contains(&given.name)
        });
    if !has_mass || value == 1.0 {
        return Vec::new();
    }
    let own = quoted(text, expr);
    known
        .into_iter()
        .filter(|(other, _)| *other != value)
        .map(|(_, by)| {
            let what = match &by.node {
                Node::Binary(_, above, below) => match (&above.node, &below.node) {
                    (Node::Number(a), Node::Number(b)) => {
                        format!("{}/{} in the place of {own}", a.pretty(), b.pretty())
                    }
                    _ => own.clone(),
                },
                _ => own.clone(),
            };
            Change { by, what }
        })
        .collect()
}

/// A difference of two unknowns that is taken as nothing.
fn taken_equal(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let is_unknown = |expr: &Expr| match &expr.node {
        Node::Name(name) => scene.assignment.unknowns.iter().any(|at| at.name == *name),
        _ => false,
    };
    match sum(spot.expr) {
        Some((true, left, right)) if is_unknown(left) && is_unknown(right) => {
            number(spot.expr, "0")
                .map(|zero| Change {
                    by: zero,
                    what: format!("{} and {}", quoted(text, left), quoted(text, right)),
                })
                .into_iter()
                .collect()
        }
        _ => Vec::new(),
    }
}
