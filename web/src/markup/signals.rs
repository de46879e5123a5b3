//! Signals and memos of any type that share one machinery.
//!
//! Leptos writes its signals out once for each type that they hold, and the page holds some eighty. Here a value lies behind a
//! pointer, so that the machinery is written once; what is left for each type is making it, comparing it and reading it.

use leptos::prelude::{
    Effect as HeldEffect, Get as _, GetUntracked as _, GetValue as _, Memo as HeldMemo,
    RwSignal as HeldSignal, Set as _, StoredValue, Update as _,
};
use std::any::Any;
use std::marker::PhantomData;
use std::sync::Arc;

/// A value behind a pointer. Two are equal when they are the very same.
#[derive(Clone)]
struct Held(Arc<dyn Any + Send + Sync>);

impl PartialEq for Held {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl Held {
    fn new<T: Send + Sync + 'static>(value: T) -> Self {
        Self(Arc::new(value))
    }

    fn see<T: 'static>(&self) -> &T {
        match self.0.downcast_ref() {
            Some(value) => value,
            // Only the typed handles below put values in and take them out.
            None => unreachable!("a signal holds what its handle says"),
        }
    }
}

/// What works a value out. This and the next two are traits of their own as [`super::Describe`] is.
trait Derive: Send + Sync {
    fn derive(&self) -> Held;
}

impl<F: Fn() -> T + Send + Sync, T: Send + Sync + 'static> Derive for F {
    fn derive(&self) -> Held {
        Held::new(self())
    }
}

/// What works a memo's value out, from the last one.
trait Compute<T>: Send + Sync {
    fn compute(&self, last: Option<&T>) -> T;
}

impl<F: Fn(Option<&T>) -> T + Send + Sync, T> Compute<T> for F {
    fn compute(&self, last: Option<&T>) -> T {
        self(last)
    }
}

/// What works a memo's value out and keeps the last one where the new one is equal: written once for each type of value.
trait Renew: Send + Sync {
    fn renew(&self, last: Option<&Held>) -> Held;
}

impl<T: PartialEq + Send + Sync + 'static> Renew for Box<dyn Compute<T>> {
    fn renew(&self, last: Option<&Held>) -> Held {
        let last_value = last.map(Held::see::<T>);
        let value = self.compute(last_value);
        match last {
            Some(last) if last_value == Some(&value) => last.clone(),
            _ => Held::new(value),
        }
    }
}

/// One memo for all types.
fn held_memo(renew: Box<dyn Renew>) -> HeldMemo<Held> {
    HeldMemo::new(move |last: Option<&Held>| renew.renew(last))
}

/// Where a signal's value comes from.
#[derive(Clone, Copy)]
enum Source {
    Memo(HeldMemo<Held>),
    Signal(HeldSignal<Held>),
    Derived(StoredValue<Arc<dyn Derive>>),
    Stored(StoredValue<Held>),
}

impl Source {
    fn get(self) -> Held {
        match self {
            Self::Memo(memo) => memo.get(),
            Self::Signal(signal) => signal.get(),
            Self::Derived(derive) => derive.get_value().derive(),
            Self::Stored(value) => value.get_value(),
        }
    }

    fn get_untracked(self) -> Held {
        match self {
            Self::Memo(memo) => memo.get_untracked(),
            Self::Signal(signal) => signal.get_untracked(),
            Self::Derived(derive) => leptos::prelude::untrack(|| derive.get_value().derive()),
            Self::Stored(value) => value.get_value(),
        }
    }
}

/// The ways to read, the same for all handles.
macro_rules! readable {
    ($($handle:ident)*) => {$(
        impl<T> Clone for $handle<T> {
            fn clone(&self) -> Self {
                *self
            }
        }

        impl<T> Copy for $handle<T> {}

        #[allow(dead_code)]
        impl<T: 'static> $handle<T> {
            /// Looks at the value, and again when it changes.
            pub(crate) fn with<U>(self, look: impl FnOnce(&T) -> U) -> U {
                look(self.source().get().see())
            }

            /// Looks at the value once.
            pub(crate) fn with_untracked<U>(self, look: impl FnOnce(&T) -> U) -> U {
                look(self.source().get_untracked().see())
            }

            /// The value, and again when it changes.
            pub(crate) fn get(self) -> T
            where
                T: Clone,
            {
                self.source().get().see::<T>().clone()
            }

            /// The value once.
            pub(crate) fn get_untracked(self) -> T
            where
                T: Clone,
            {
                self.source().get_untracked().see::<T>().clone()
            }

            /// Only asks to be told of changes.
            pub(crate) fn track(self) {
                drop(self.source().get());
            }
        }
    )*};
}
readable!(Signal Memo RwSignal);

/// A value worked out from others, when they change; who reads it is told only when it is another one.
pub(crate) struct Memo<T>(HeldMemo<Held>, PhantomData<fn() -> T>);

impl<T: PartialEq + Send + Sync + 'static> Memo<T> {
    /// Worked out by this, which gets the last value.
    pub(crate) fn new(compute: impl Fn(Option<&T>) -> T + Send + Sync + 'static) -> Self {
        Self::of(Box::new(compute))
    }

    fn of(compute: Box<dyn Compute<T>>) -> Self {
        Self(held_memo(Box::new(compute)), PhantomData)
    }
}

impl<T> Memo<T> {
    fn source(self) -> Source {
        Source::Memo(self.0)
    }
}

/// A value that is set.
pub(crate) struct RwSignal<T>(HeldSignal<Held>, PhantomData<fn() -> T>);

impl<T: Send + Sync + 'static> RwSignal<T> {
    /// Begins with this value.
    pub(crate) fn new(value: T) -> Self {
        Self(HeldSignal::new(Held::new(value)), PhantomData)
    }

    /// Sets the value and tells who reads it.
    pub(crate) fn set(self, value: T) {
        self.0.set(Held::new(value));
    }

    /// Sets the value, where the signal is still there.
    pub(crate) fn try_set(self, value: T) {
        let _ = self.0.try_set(Held::new(value));
    }

    /// The value once, where the signal is still there.
    pub(crate) fn try_get_untracked(self) -> Option<T>
    where
        T: Clone,
    {
        Some(self.0.try_get_untracked()?.see::<T>().clone())
    }

    /// Changes the value and tells who reads it.
    pub(crate) fn update(self, change: impl FnOnce(&mut T)) {
        let mut change = Some(change);
        self.0.update(|held| {
            if let (Some(value), Some(change)) = (exclusive(held), change.take()) {
                change(value);
            }
        });
    }
}

/// The value to change. Readers copy or look at once, so nobody else holds it meanwhile.
fn exclusive<T: 'static>(held: &mut Held) -> Option<&mut T> {
    Arc::get_mut(&mut held.0)?.downcast_mut()
}

impl<T> RwSignal<T> {
    fn source(self) -> Source {
        Source::Signal(self.0)
    }
}

/// A value to read, wherever it comes from.
pub(crate) struct Signal<T>(Source, PhantomData<fn() -> T>);

impl<T: Send + Sync + 'static> Signal<T> {
    /// Worked out anew each time it is read.
    pub(crate) fn derive(derive: impl Fn() -> T + Send + Sync + 'static) -> Self {
        Self(
            Source::Derived(StoredValue::new(Arc::new(derive))),
            PhantomData,
        )
    }

    /// Always this value.
    pub(crate) fn stored(value: T) -> Self {
        Self(
            Source::Stored(StoredValue::new(Held::new(value))),
            PhantomData,
        )
    }
}

impl<T> Signal<T> {
    fn source(self) -> Source {
        self.0
    }
}

impl<T> From<Memo<T>> for Signal<T> {
    fn from(memo: Memo<T>) -> Self {
        Self(memo.source(), PhantomData)
    }
}

impl<T> From<RwSignal<T>> for Signal<T> {
    fn from(signal: RwSignal<T>) -> Self {
        Self(signal.source(), PhantomData)
    }
}

impl<T: Send + Sync + 'static> From<T> for Signal<T> {
    fn from(value: T) -> Self {
        Self::stored(value)
    }
}

impl From<&'static str> for Signal<String> {
    fn from(value: &'static str) -> Self {
        Self::stored(value.to_owned())
    }
}

/// What is asked to do something; a trait of its own as [`super::Describe`] is.
trait Answer<In, Out>: Send + Sync {
    fn answer(&self, asked: In) -> Out;
}

impl<F: Fn(In) -> Out + Send + Sync, In, Out> Answer<In, Out> for F {
    fn answer(&self, asked: In) -> Out {
        self(asked)
    }
}

/// What a component calls when something is done in it.
pub(crate) struct Callback<In, Out = ()>(StoredValue<Held>, PhantomData<fn(In) -> Out>);

impl<In, Out> Clone for Callback<In, Out> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<In, Out> Copy for Callback<In, Out> {}

impl<In: 'static, Out: 'static> Callback<In, Out> {
    /// Calls this.
    pub(crate) fn new(answer: impl Fn(In) -> Out + Send + Sync + 'static) -> Self {
        Self::of(Box::new(answer))
    }

    fn of(answer: Box<dyn Answer<In, Out>>) -> Self {
        Self(StoredValue::new(Held::new(answer)), PhantomData)
    }

    /// Calls it.
    pub(crate) fn run(self, asked: In) -> Out {
        let held = self.0.get_value();
        held.see::<Box<dyn Answer<In, Out>>>().answer(asked)
    }
}

/// What is done at first, once the page stands, and again when a signal in it changes.
pub(crate) struct Effect;

impl Effect {
    /// Does this, which gets what it gave the last time.
    pub(crate) fn new<T: 'static>(mut work: impl FnMut(Option<T>) -> T + 'static) -> Self {
        let mut last = None;
        held_effect(Box::new(move || last = Some(work(last.take()))));
        Self
    }
}

/// One effect for all.
fn held_effect(work: Box<dyn FnMut()>) {
    HeldEffect::new(work);
}
