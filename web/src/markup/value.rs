//! Values of attributes, classes, styles and properties.

use super::Text;
use super::signals::{Memo, RwSignal, Signal};
use std::borrow::Cow;

/// A value: a text, or nothing at all; fixed, or kept up to date. Of a yes-or-no, yes is the empty text.
pub(crate) enum Value {
    /// Written once.
    Fixed(Option<Text>),
    /// Written when a signal in it changes.
    Live(Box<dyn Word>),
}

/// What says a value anew; a trait of its own as [`super::Describe`] is.
pub(crate) trait Word {
    /// The value as it is now.
    fn word(&self) -> Option<Text>;
}

impl<F: Fn() -> T, T: IntoText> Word for F {
    fn word(&self) -> Option<Text> {
        self().into_text()
    }
}

/// What can stand behind the `=` of an attribute.
pub(crate) trait IntoValue {
    /// The value that it makes.
    fn into_value(self) -> Value;
}

/// A value as it is at one moment.
pub(crate) trait IntoText {
    /// Its text, or nothing.
    fn into_text(self) -> Option<Text>;
}

impl IntoText for &'static str {
    fn into_text(self) -> Option<Text> {
        Some(Cow::Borrowed(self))
    }
}

impl IntoText for String {
    fn into_text(self) -> Option<Text> {
        Some(Cow::Owned(self))
    }
}

impl IntoText for bool {
    fn into_text(self) -> Option<Text> {
        self.then_some(Cow::Borrowed(""))
    }
}

macro_rules! number {
    ($($number:ty)*) => {$(
        impl IntoText for $number {
            fn into_text(self) -> Option<Text> {
                Some(Cow::Owned(self.to_string()))
            }
        }
        impl IntoValue for $number {
            fn into_value(self) -> Value {
                Value::Fixed(self.into_text())
            }
        }
    )*};
}
number!(usize u32 i32 f64);

impl<T: IntoText> IntoText for Option<T> {
    fn into_text(self) -> Option<Text> {
        self.and_then(T::into_text)
    }
}

macro_rules! fixed {
    ($($kind:ty)*) => {$(
        impl IntoValue for $kind {
            fn into_value(self) -> Value {
                Value::Fixed(self.into_text())
            }
        }
    )*};
}
fixed!(&'static str String bool);

impl<T: IntoText> IntoValue for Option<T> {
    fn into_value(self) -> Value {
        Value::Fixed(self.into_text())
    }
}

impl<F: Fn() -> T + 'static, T: IntoText> IntoValue for F {
    fn into_value(self) -> Value {
        Value::Live(Box::new(self))
    }
}

macro_rules! live {
    ($($signal:ident)*) => {$(
        impl<T: IntoText + Clone + Send + Sync + 'static> IntoValue for $signal<T> {
            fn into_value(self) -> Value {
                Value::Live(Box::new(move || self.get()))
            }
        }
    )*};
}
live!(Signal Memo RwSignal);
