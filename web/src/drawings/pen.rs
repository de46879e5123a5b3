//! The pen: writes the way of a line for the browser. A drawing under the hand writes some hundred places a frame, so this goes
//! past the general way of writing numbers.

/// The way of a line: letters as the browser's paths have them, and places.
#[derive(Clone, Debug)]
pub(crate) struct Pen(String);

impl Pen {
    /// A pen that has written nothing.
    pub(crate) const fn new() -> Self {
        Self(String::new())
    }

    /// A letter and its numbers, each to a hundredth of a drawing's unit.
    pub(crate) fn put(&mut self, letter: &str, numbers: &[f64]) -> &mut Self {
        self.0.push_str(letter);
        for (at, number) in numbers.iter().enumerate() {
            if at > 0 {
                self.0.push(' ');
            }
            push(&mut self.0, *number);
        }
        self
    }

    /// Another corner of a line that has no letters.
    pub(crate) fn corner(&mut self, x: f64, y: f64) -> &mut Self {
        let space = if self.0.is_empty() { "" } else { " " };
        self.put(space, &[x, y])
    }

    /// What is written.
    pub(crate) fn text(&mut self) -> String {
        std::mem::take(&mut self.0)
    }
}

/// A number to a hundredth, without zeros behind its last digit.
pub(crate) fn hundredths(number: f64) -> String {
    let mut text = String::new();
    push(&mut text, number);
    text
}

/// Further out than any screen; also what no number is.
const FAR: f64 = 1e7;

fn push(text: &mut String, number: f64) {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "no further out than FAR; what is no number becomes 0"
    )]
    let all = (number.clamp(-FAR, FAR) * 100.0).round() as i64;
    if all < 0 {
        text.push('-');
    }
    let all = all.unsigned_abs();
    let mut digits = [0_u8; 12];
    let mut from = digits.len();
    let mut whole = all / 100;
    loop {
        from -= 1;
        digits[from] = b'0' + (whole % 10) as u8;
        whole /= 10;
        if whole == 0 {
            break;
        }
    }
    text.extend(digits[from..].iter().map(|digit| char::from(*digit)));
    let behind = [(all / 10 % 10) as u8, (all % 10) as u8];
    if behind != [0, 0] {
        text.push('.');
        text.push(char::from(b'0' + behind[0]));
    }
    if behind[1] > 0 {
        text.push(char::from(b'0' + behind[1]));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_to_a_hundredth() {
        for (number, text) in [
            (0.0, "0"),
            (-0.001, "0"),
            (-0.005, "-0.01"),
            (1.5, "1.5"),
            (0.07, "0.07"),
            (-12.34, "-12.34"),
            (99.999, "100"),
            (1234.5678, "1234.57"),
            (f64::NAN, "0"),
            (f64::INFINITY, "10000000"),
            (f64::NEG_INFINITY, "-10000000"),
        ] {
            assert_eq!(hundredths(number), text, "{number}");
        }
        // As the general way has them, but for the zeros behind.
        for step in -2000..2000 {
            let number = f64::from(step) * 0.137;
            let long = format!("{number:.2}");
            let read: f64 = hundredths(number).parse().unwrap();
            assert!(
                (read - long.parse::<f64>().unwrap()).abs() < 0.0101,
                "{number}"
            );
            assert!((read - number).abs() < 0.00501, "{number}");
        }
    }

    #[test]
    fn a_way_is_letters_and_places() {
        let mut pen = Pen::new();
        pen.put("M", &[1.0, 2.0])
            .put("l", &[-3.0, 4.5])
            .put("z", &[]);
        assert_eq!(pen.text(), "M1 2l-3 4.5z");
        pen.corner(1.0, 2.0).corner(3.25, -4.0);
        assert_eq!(pen.text(), "1 2 3.25 -4");
    }
}
