//! A second calculator, which knows nothing of the program: decimal digits in, digits out.

use std::collections::HashMap;

/// Runs `work` with room for the calculator, which calls itself for every bracket.
pub fn with_room<T: Send>(work: impl FnOnce() -> T + Send) -> T {
    std::thread::scope(|scope| {
        let roomy = std::thread::Builder::new().stack_size(512 << 20);
        let running = roomy.spawn_scoped(scope, work).expect("a thread");
        running.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
    })
}

/// A calculator that remembers what it was asked.
#[derive(Default)]
pub struct Calculator {
    context: fend_core::Context,
    known: HashMap<String, Result<String, String>>,
}

impl Calculator {
    /// The digits of an arithmetic expression in plain ASCII, to 40 decimals.
    pub fn digits(&mut self, numbers: &str) -> Result<String, String> {
        if let Some(known) = self.known.get(numbers) {
            return known.clone();
        }
        let answer = fend_core::evaluate(&format!("({numbers}) to 40 dp"), &mut self.context)
            .map(|result| result.get_main_result().trim_start_matches("approx. ").to_owned());
        self.known.insert(numbers.to_owned(), answer.clone());
        answer
    }
}

/// Decimal digits rounded to `places`, halves away from zero.
pub fn rounded(digits: &str, places: usize) -> String {
    let (sign, digits) = digits.strip_prefix('-').map_or(("", digits), |rest| ("-", rest));
    let (whole, decimals) = digits.split_once('.').unwrap_or((digits, ""));
    let padded = format!("{decimals:0<width$}", width = places + 1);
    let mut kept: Vec<u8> = whole.bytes().chain(padded.bytes().take(places)).collect();
    if padded.as_bytes()[places] >= b'5' {
        let mut at = kept.len();
        loop {
            if at == 0 {
                kept.insert(0, b'1');
                break;
            }
            at -= 1;
            if kept[at] == b'9' {
                kept[at] = b'0';
            } else {
                kept[at] += 1;
                break;
            }
        }
    }
    let kept = String::from_utf8(kept).expect("digits");
    let (whole, decimals) = kept.split_at(kept.len() - places);
    let sign = if kept.bytes().all(|digit| digit == b'0') { "" } else { sign };
    if places == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{decimals}") }
}

#[test]
fn rounding_is_that_of_nist_sp_811() {
    // NIST SP 811, B.7.1; GUM (JCGM 100:2008), 7.2.6.
    assert_eq!(rounded("6.9749515", 2), "6.97");
    assert_eq!(rounded("6.9749515", 4), "6.9750");
    assert_eq!(rounded("10.05762", 3), "10.058");
    assert_eq!(rounded("-0.5", 0), "-1");
    assert_eq!(rounded("99.95", 1), "100.0");
    assert_eq!(rounded("-0.004", 2), "0.00");
    assert_eq!(rounded("7", 2), "7.00");
}
