//! Drawings of the Strings section.

mod hanging;
mod section;

pub(crate) use hanging::{Column, Hanging};
pub(crate) use section::{Cut, StringSection};
