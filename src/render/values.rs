//! Typed values as text: numbers get their units and the language's decimal mark.

use crate::domain::finding::Value;
use crate::domain::units::{Mib, Money};
use fluent_bundle::FluentValue;

use super::lists;
use super::words::{Context, Words};

/// A value as a Fluent argument: counts stay numbers, so that patterns can choose a plural.
pub fn argument(value: &Value, words: &Words, context: Context<'_>) -> FluentValue<'static> {
    match value {
        Value::Count(count) => FluentValue::from(*count),
        other => FluentValue::from(text(other, words, context)),
    }
}

/// A value as text.
pub fn text(value: &Value, words: &Words, context: Context<'_>) -> String {
    match value {
        Value::Count(count) => count.to_string(),
        Value::Capacity(capacity) => capacity_text(*capacity),
        Value::Rate(rate) => format!("{} MT/s", rate.0),
        Value::Voltage(mv) => format!("{} V", fraction(u64::from(mv.0), 3, 1, words)),
        Value::Power(mw) => format!("{} W", fraction(mw.0 / 100 * 100, 3, 1, words)),
        Value::Bandwidth(bandwidth) => {
            format!("{} GB/s", fraction(bandwidth.0 / 100 * 100, 3, 1, words))
        }
        Value::Density(density) => format!("{} Gbit", density.0),
        Value::Money(money) => money_text(*money, words),
        Value::Permille(permille) => format!("{} %", fraction(u64::from(*permille), 1, 0, words)),
        Value::Text(text) => text.clone(),
        Value::Word(word) => words.term(word),
        Value::Message(id) => words.plain(id),
        Value::Whole(number) => number.to_string().replace('-', "−"),
        Value::Words(list) => {
            let each: Vec<String> = list.iter().map(|word| words.term(word)).collect();
            lists::joined(&each, words)
        }
        Value::Counts(list) => {
            lists::joined(&list.iter().map(u64::to_string).collect::<Vec<_>>(), words)
        }
        Value::Part(part) => context.part_name(*part).to_owned(),
        Value::Parts(parts) => lists::joined(
            &parts
                .iter()
                .map(|part| context.part_name(*part).to_owned())
                .collect::<Vec<_>>(),
            words,
        ),
        Value::List(list) => lists::joined(&texts(list, words, context), words),
        Value::OneOf(list) => lists::one_of(&texts(list, words, context), words),
    }
}

fn texts(list: &[Value], words: &Words, context: Context<'_>) -> Vec<String> {
    list.iter().map(|v| text(v, words, context)).collect()
}

/// Whole gibibytes where they are whole.
pub fn capacity_text(capacity: Mib) -> String {
    if capacity.0.is_multiple_of(1024) {
        format!("{} GiB", capacity.0 / 1024)
    } else {
        format!("{} MiB", capacity.0)
    }
}

/// A number with `digits` decimals in its unit, shown with at least `least` of them and no needless
/// zeros.
fn fraction(value: u64, digits: u32, least: usize, words: &Words) -> String {
    let scale = 10u64.pow(digits);
    let mut decimals = format!("{:0width$}", value % scale, width = digits as usize);
    while decimals.len() > least && decimals.ends_with('0') {
        decimals.pop();
    }
    match decimals.is_empty() {
        true => (value / scale).to_string(),
        false => format!("{}{}{decimals}", value / scale, words.decimal),
    }
}

fn money_text(money: Money, words: &Words) -> String {
    let code = money.currency.code();
    let digits = money.currency.minor_digits();
    let sign = if money.minor < 0 { "-" } else { "" };
    format!(
        "{sign}{} {code}",
        fraction(money.minor.unsigned_abs(), digits, digits as usize, words)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::Board;
    use crate::domain::module::Generation;
    use crate::domain::request::Request;
    use crate::domain::testing::board;
    use crate::domain::units::{Currency, MegabytesPerSecond, Millivolts, Milliwatts};

    #[test]
    fn values_carry_their_units() {
        let board = Board::checked(board(Generation::Ddr3, 1, 1, 1)).unwrap();
        let request = Request::default();
        let say = |value: Value| {
            text(
                &value,
                Words::english(),
                Context {
                    board: &board,
                    request: &request,
                },
            )
        };
        assert_eq!(say(Value::Voltage(Millivolts(1350))), "1.35 V");
        assert_eq!(say(Value::Voltage(Millivolts(1500))), "1.5 V");
        assert_eq!(say(Value::Power(Milliwatts(12_345))), "12.3 W");
        assert_eq!(
            say(Value::Bandwidth(MegabytesPerSecond(102_400))),
            "102.4 GB/s"
        );
        assert_eq!(say(Value::Capacity(Mib::gib(768))), "768 GiB");
        assert_eq!(say(Value::Capacity(Mib(512))), "512 MiB");
        assert_eq!(say(Value::Permille(125)), "12.5 %");
        assert_eq!(say(Value::Permille(500)), "50 %");
        let money = |minor, code| {
            Value::Money(Money {
                minor,
                currency: Currency::new(code).unwrap(),
            })
        };
        assert_eq!(say(money(4900, "EUR")), "49.00 EUR");
        assert_eq!(say(money(4900, "JPY")), "4900 JPY");
        let sizes = || {
            [8, 16, 32]
                .map(|gib| Value::Capacity(Mib::gib(gib)))
                .to_vec()
        };
        assert_eq!(say(Value::List(sizes())), "8 GiB, 16 GiB and 32 GiB");
        assert_eq!(say(Value::OneOf(sizes())), "8 GiB, 16 GiB or 32 GiB");
    }
}
