use super::*;
use std::cell::RefCell;

/// A machine as it is told to be, which notes what was asked of it.
#[derive(Default)]
struct Told {
    source: bool,
    debian: bool,
    crates: bool,
    target: bool,
    linker: Option<&'static str>,
    no_linker: bool,
    /// What rustup gives.
    gives: &'static [&'static str],
    asked: RefCell<Vec<String>>,
}

impl Told {
    fn given(&self, name: &str) -> bool {
        self.gives.contains(&name) && self.asked.borrow().iter().any(|asked| asked == name)
    }
}

impl Machine for Told {
    fn has_source(&self, compiler: Compiler) -> bool {
        match compiler {
            Compiler::Toolchain => self.source || self.given("rust-src"),
            Compiler::Debian => self.debian || self.given("rustc-web"),
        }
    }

    fn has_std_crates(&self, _: Compiler, _: bool) -> bool {
        self.crates
    }

    fn linker(&self, _: Compiler) -> Result<Option<String>, Failed> {
        if self.no_linker {
            return Err("nothing links".into());
        }
        Ok(self.linker.map(str::to_owned))
    }

    fn has_target(&self) -> bool {
        self.target || self.given(TARGET)
    }

    fn rustup_adds(&self, _: &str, name: &str) -> bool {
        self.asked.borrow_mut().push(name.to_owned());
        self.given(name)
    }

    fn install(&self, packages: &[&str]) -> Result<(), Failed> {
        self.asked.borrow_mut().push(packages[0].to_owned());
        if self.given(packages[0]) {
            Ok(())
        } else {
            Err("nothing is installed".into())
        }
    }
}

fn is_from_source(route: &Route) -> bool {
    route.args.contains(&"build-std=std,panic_abort")
}

#[test]
fn the_toolchains_own_source_is_built_first_and_nothing_is_asked_for() {
    let machine = Told {
        source: true,
        debian: true,
        crates: true,
        target: true,
        ..Told::default()
    };
    let route = choose_on(&machine).unwrap();
    assert!(is_from_source(&route));
    assert!(
        route
            .with
            .iter()
            .all(|(name, _)| !["RUSTC", LINKER].contains(name))
    );
    assert!(machine.asked.borrow().is_empty());
}

#[test]
fn a_source_without_its_crates_gives_way_to_the_ready_target() {
    let machine = Told {
        source: true,
        target: true,
        ..Told::default()
    };
    let route = choose_on(&machine).unwrap();
    assert_eq!(route, Route::ready(None));
    assert!(machine.asked.borrow().is_empty());
}

#[test]
fn without_the_crates_and_the_target_it_is_said_what_to_do() {
    let machine = Told {
        source: true,
        ..Told::default()
    };
    let why = choose_on(&machine).unwrap_err();
    assert!(why.contains("build once with a network"), "{why}");
    assert!(
        why.contains("rustup target add wasm32-unknown-unknown"),
        "{why}"
    );
    assert!(!why.contains("rust-src"), "{why}");
    // Debian's packages would want the same crates.
    assert_eq!(*machine.asked.borrow(), [TARGET]);
}

#[test]
fn a_compiler_without_a_linker_of_its_own_is_told_one() {
    let own = Told {
        source: true,
        crates: true,
        linker: Some("/usr/bin/wasm-ld"),
        ..Told::default()
    };
    let linker = (LINKER, "/usr/bin/wasm-ld".to_owned());
    assert!(choose_on(&own).unwrap().with.contains(&linker));
    let ready = Told {
        target: true,
        linker: own.linker,
        ..Told::default()
    };
    assert!(choose_on(&ready).unwrap().with.contains(&linker));
    let debian = Told {
        debian: true,
        crates: true,
        linker: own.linker,
        ..Told::default()
    };
    let route = choose_on(&debian).unwrap();
    assert!(route.with.contains(&linker));
    assert!(route.with.contains(&("RUSTC", DEBIAN_RUSTC.to_owned())));
    let none = Told {
        source: true,
        crates: true,
        no_linker: true,
        ..Told::default()
    };
    assert!(choose_on(&none).unwrap_err().contains("nothing links"));
}

#[test]
fn what_rustup_and_debian_give_is_taken_in_turn() {
    let asked = |machine: &Told| machine.asked.borrow().join(" ");
    let source = Told {
        crates: true,
        gives: &["rust-src"],
        ..Told::default()
    };
    assert!(is_from_source(&choose_on(&source).unwrap()));
    assert_eq!(asked(&source), "rust-src");
    let debian = Told {
        crates: true,
        gives: &["rustc-web"],
        ..Told::default()
    };
    assert!(is_from_source(&choose_on(&debian).unwrap()));
    assert_eq!(asked(&debian), "rust-src rustc-web");
    let target = Told {
        gives: &[TARGET],
        ..Told::default()
    };
    assert_eq!(choose_on(&target), Ok(Route::ready(None)));
    assert_eq!(asked(&target), format!("rust-src rustc-web {TARGET}"));
    let none = Told::default();
    let why = choose_on(&none).unwrap_err();
    assert!(why.contains("nothing is installed") && why.contains("rust-src"));
}
