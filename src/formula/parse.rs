//! Reads expressions, equations and conditions. The grammar:
//!
//! ```text
//! equation   = sum "=" sum
//! condition  = all { "or" all }
//! all        = chain { "and" chain }
//! chain      = sum compare sum { compare sum } | "(" condition ")"
//! compare    = "<" | "<=" | ">" | ">=" | "=" | "!="
//! sum        = product { ("+" | "-") product }
//! product    = signed { ("*" | "/") signed }
//! signed     = "-" signed | "+" signed | power
//! power      = atom [ "^" signed ]
//! atom       = number | "[" number unit "]" | "pi" | name | function "(" sum { "," sum } ")" | "(" sum ")"
//! ```
//!
//! Products are written out (`mA*g`), `-x^2` is `-(x^2)`, and a quantity stands in square
//! brackets, so that a unit is never taken for a name. Refused, with the place: anything else,
//! and nesting deeper than [`DEEPEST`].

use super::FormulaError;
use super::token::{Kind, Token, tokens};
use super::tree::{Comparison, Condition, Equation, Expr, Function, Node, Operator};
use crate::diagnostic::Span;

/// How deep brackets, signs and powers may nest: far beyond any board, far below the stack.
pub const DEEPEST: usize = 64;

/// How many pieces one formula may have: names, numbers, signs, brackets.
pub const LONGEST: usize = 500;

/// Reads an expression, such as `mA*(g - a)`.
///
/// # Errors
/// Everything that keeps it from being one, with places in `text`.
pub fn expression(text: &str) -> Result<Expr, Vec<FormulaError>> {
    whole(text, Parser::sum)
}

/// Reads an equation, such as `mA*g - T1 = mA*a`.
///
/// # Errors
/// Everything that keeps it from being one, with places in `text`.
pub fn equation(text: &str) -> Result<Equation, Vec<FormulaError>> {
    whole(text, |parser| {
        let left = parser.sum()?;
        if !parser.take("=") {
            return Err(parser.missing_operator().unwrap_or_else(|| {
                parser
                    .unexpected("`=` and the other side of the equation")
                    .help("an equation reads like T1 - mB*g = mB*a")
            }));
        }
        let right = parser.sum()?;
        if matches!(parser.peek().kind, Kind::Sign("=")) {
            return Err(parser
                .unexpected("the end of the equation")
                .help("an equation has one `=`; write a second one by itself"));
        }
        Ok(Equation { left, right })
    })
}

/// Reads a condition, such as `T1 > 0 and abs(a) < g`.
///
/// # Errors
/// Everything that keeps it from being one, with places in `text`.
pub fn condition(text: &str) -> Result<Condition, Vec<FormulaError>> {
    whole(text, Parser::any)
}

type Parsed<T> = Result<T, FormulaError>;

fn whole<T>(
    text: &str,
    read: impl FnOnce(&mut Parser) -> Parsed<T>,
) -> Result<T, Vec<FormulaError>> {
    let tokens = tokens(text)?;
    if tokens.len() > LONGEST {
        let span = Span {
            start: 0,
            end: text.len(),
        };
        return Err(vec![
            FormulaError::new(
                span,
                format!(
                    "this formula has {} pieces, at most {LONGEST} are taken",
                    tokens.len()
                ),
            )
            .help("name parts of it under [derived]"),
        ]);
    }
    let mut parser = Parser {
        tokens,
        at: 0,
        depth: 0,
    };
    read(&mut parser)
        .and_then(|tree| parser.finished().map(|()| tree))
        .map_err(|error| vec![error])
}

struct Parser {
    tokens: Vec<Token>,
    at: usize,
    depth: usize,
}

impl Parser {
    /// The token ahead. The list always ends in [`Kind::End`], which is never passed.
    fn peek(&self) -> &Token {
        &self.tokens[self.at.min(self.tokens.len() - 1)]
    }

    fn next(&mut self) -> Token {
        let token = self.peek().clone();
        if token.kind != Kind::End {
            self.at += 1;
        }
        token
    }

    fn take(&mut self, sign: &str) -> bool {
        let found = matches!(&self.peek().kind, Kind::Sign(s) if *s == sign);
        if found {
            self.at += 1;
        }
        found
    }

    fn take_word(&mut self, word: &str) -> bool {
        let found = matches!(&self.peek().kind, Kind::Name(n) if n == word);
        if found {
            self.at += 1;
        }
        found
    }

    fn unexpected(&self, expected: &str) -> FormulaError {
        let token = self.peek();
        let found = match &token.kind {
            Kind::Number(numeral) => format!("the number `{numeral}`"),
            Kind::Quantity(quantity) => format!("the quantity `[{quantity}]`"),
            Kind::Name(name) => format!("`{name}`"),
            Kind::Sign(sign) => format!("`{sign}`"),
            Kind::End => "the end".to_owned(),
        };
        FormulaError::new(token.span, format!("expected {expected}, found {found}"))
    }

    /// Where an operand stands right behind another: what is missing between them. A unit outside
    /// of square brackets looks like that.
    fn missing_operator(&self) -> Option<FormulaError> {
        let before = self.at.checked_sub(1).map(|i| &self.tokens[i].kind);
        match (before?, &self.peek().kind) {
            (Kind::Number(numeral), Kind::Name(name)) => Some(
                self.unexpected("an operator behind the number")
                    .help(format!("a product is written {numeral}*{name}; if `{name}` is a unit, write [{numeral} {name}]")),
            ),
            (Kind::Name(left), Kind::Name(right)) => Some(
                self.unexpected("an operator between two names")
                    .help(format!("a product is written {left}*{right}")),
            ),
            (
                Kind::Number(_) | Kind::Quantity(_) | Kind::Name(_) | Kind::Sign(")"),
                Kind::Name(_) | Kind::Number(_) | Kind::Quantity(_) | Kind::Sign("("),
            ) => Some(self.unexpected("an operator").help("a product is written with *")),
            _ => None,
        }
    }

    fn finished(&self) -> Parsed<()> {
        if let Some(error) = self.missing_operator() {
            return Err(error);
        }
        match &self.peek().kind {
            Kind::End => Ok(()),
            Kind::Sign(")") => Err(self.unexpected("no `)` here: none is open")),
            Kind::Sign("<" | ">" | "<=" | ">=" | "=" | "!=") => {
                Err(self.unexpected("no further comparison here"))
            }
            _ => Err(self.unexpected("an operator or the end")),
        }
    }

    /// Runs `read` one level deeper.
    fn nested<T>(&mut self, read: impl FnOnce(&mut Self) -> Parsed<T>) -> Parsed<T> {
        if self.depth == DEEPEST {
            return Err(FormulaError::new(
                self.peek().span,
                format!(
                    "brackets, powers or signs stand within one another more than {DEEPEST} deep"
                ),
            )
            .help("name parts of the formula under [derived]"));
        }
        self.depth += 1;
        let result = read(self);
        self.depth -= 1;
        result
    }

    fn any(&mut self) -> Parsed<Condition> {
        let mut parts = vec![self.all()?];
        while self.take_word("or") {
            parts.push(self.all()?);
        }
        Ok(single(parts, Condition::Any))
    }

    fn all(&mut self) -> Parsed<Condition> {
        let mut parts = vec![self.chain()?];
        while self.take_word("and") {
            parts.push(self.chain()?);
        }
        Ok(single(parts, Condition::All))
    }

    fn chain(&mut self) -> Parsed<Condition> {
        if let Some(inner) = self.bracketed_condition()? {
            return Ok(inner);
        }
        let mut left = self.sum()?;
        let mut links = Vec::new();
        while let Some(comparison) = self.comparison() {
            let right = self.sum()?;
            links.push(Condition::Compare(comparison, left, right.clone()));
            left = right;
        }
        if links.is_empty() {
            return Err(self.missing_operator().unwrap_or_else(|| {
                self.unexpected("a comparison")
                    .help("a condition compares two expressions: abs(a) < g")
            }));
        }
        Ok(single(links, Condition::All))
    }

    /// `( condition )`; nothing, with nothing consumed, where the bracket holds an expression.
    fn bracketed_condition(&mut self) -> Parsed<Option<Condition>> {
        let start = self.at;
        if !self.take("(") {
            return Ok(None);
        }
        let inner = self.nested(Self::any);
        let closed = inner.is_ok() && self.take(")");
        let continued = matches!(
            self.peek().kind,
            Kind::Sign("+" | "-" | "*" | "/" | "^" | "<" | ">" | "<=" | ">=" | "=" | "!=")
        );
        match inner {
            Ok(condition) if closed && !continued => Ok(Some(condition)),
            _ => {
                self.at = start;
                Ok(None)
            }
        }
    }

    fn comparison(&mut self) -> Option<Comparison> {
        let comparison = match self.peek().kind {
            Kind::Sign("<") => Comparison::Less,
            Kind::Sign("<=") => Comparison::LessOrEqual,
            Kind::Sign(">") => Comparison::Greater,
            Kind::Sign(">=") => Comparison::GreaterOrEqual,
            Kind::Sign("=") => Comparison::Equal,
            Kind::Sign("!=") => Comparison::NotEqual,
            _ => return None,
        };
        self.at += 1;
        Some(comparison)
    }

    fn sum(&mut self) -> Parsed<Expr> {
        let signs = [("+", Operator::Add), ("-", Operator::Subtract)];
        self.joined(&signs, Self::product)
    }

    fn product(&mut self) -> Parsed<Expr> {
        let signs = [("*", Operator::Multiply), ("/", Operator::Divide)];
        self.joined(&signs, Self::signed)
    }

    /// A left-associative chain of operands joined by any of `signs`.
    fn joined(
        &mut self,
        signs: &[(&str, Operator); 2],
        operand: fn(&mut Self) -> Parsed<Expr>,
    ) -> Parsed<Expr> {
        let mut left = operand(self)?;
        while let Some(&(_, operator)) = signs.iter().find(|(sign, _)| self.take(sign)) {
            let right = operand(self)?;
            let span = Span {
                start: left.span.start,
                end: right.span.end,
            };
            left = Expr {
                node: Node::Binary(operator, Box::new(left), Box::new(right)),
                span,
            };
        }
        Ok(left)
    }

    fn signed(&mut self) -> Parsed<Expr> {
        let start = self.peek().span.start;
        if self.take("-") {
            let inner = self.nested(Self::signed)?;
            let span = Span {
                start,
                end: inner.span.end,
            };
            return Ok(Expr {
                node: Node::Negate(Box::new(inner)),
                span,
            });
        }
        if self.take("+") {
            return self.nested(Self::signed);
        }
        self.power()
    }

    fn power(&mut self) -> Parsed<Expr> {
        let base = self.atom()?;
        if !self.take("^") {
            return Ok(base);
        }
        let exponent = self.nested(Self::signed)?;
        let span = Span {
            start: base.span.start,
            end: exponent.span.end,
        };
        let node = Node::Binary(Operator::Power, Box::new(base), Box::new(exponent));
        Ok(Expr { node, span })
    }

    fn atom(&mut self) -> Parsed<Expr> {
        let Token { kind, span } = self.peek().clone();
        let node = match kind {
            Kind::Number(numeral) => Node::Number(numeral),
            Kind::Quantity(quantity) => Node::Quantity(quantity),
            Kind::Name(name) if name == "pi" || name == "π" => Node::Pi,
            Kind::Name(name) if name == "and" || name == "or" => {
                return Err(self.unexpected("a number, a name or a bracket"));
            }
            Kind::Name(name) => {
                self.next();
                if matches!(self.peek().kind, Kind::Sign("(")) {
                    return self.call(&name, span);
                }
                if Function::named(&name).is_some() {
                    return Err(self
                        .unexpected(&format!("`(` behind the function `{name}`"))
                        .help(format!("write {name}(...)")));
                }
                return Ok(Expr {
                    node: Node::Name(name),
                    span,
                });
            }
            Kind::Sign("(") => {
                self.next();
                let inner = self.nested(Self::sum)?;
                let end = self.peek().span.end;
                if !self.take(")") {
                    return Err(self
                        .missing_operator()
                        .unwrap_or_else(|| self.unexpected("`)`")));
                }
                // The brackets belong to the span, so that what is shown is what was written.
                return Ok(Expr {
                    node: inner.node,
                    span: Span {
                        start: span.start,
                        end,
                    },
                });
            }
            _ => return Err(self.unexpected("a number, a name or a bracket")),
        };
        self.next();
        Ok(Expr { node, span })
    }

    fn call(&mut self, name: &str, at: Span) -> Parsed<Expr> {
        let Some((function, wanted)) = Function::named(name) else {
            let known = Function::ALL.iter().map(|&(_, known, _)| known);
            let help = match crate::diagnostic::nearest(name, known) {
                Some(near) => format!("did you mean `{near}`? A product is written {name}*(...)"),
                None => format!("a product is written {name}*(...)"),
            };
            return Err(FormulaError::new(at, format!("there is no function `{name}`")).help(help));
        };
        self.next();
        let mut arguments = vec![self.nested(Self::sum)?];
        while self.take(",") {
            arguments.push(self.nested(Self::sum)?);
        }
        let end = self.peek().span.end;
        if !self.take(")") {
            return Err(self
                .missing_operator()
                .unwrap_or_else(|| self.unexpected("`)` or `,`")));
        }
        let span = Span {
            start: at.start,
            end,
        };
        if arguments.len() != wanted {
            let values = if wanted == 1 {
                "one value"
            } else {
                "two values"
            };
            let message = format!("`{name}` takes {values}, found {}", arguments.len());
            return Err(FormulaError::new(span, message));
        }
        Ok(Expr {
            node: Node::Call(function, arguments),
            span,
        })
    }
}

fn single(mut parts: Vec<Condition>, join: fn(Vec<Condition>) -> Condition) -> Condition {
    match parts.len() {
        1 => parts.remove(0),
        _ => join(parts),
    }
}
