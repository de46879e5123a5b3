//! The chores of the project, each in its module. `cargo xtask` calls them; the browser tests share the server.

pub mod apt;
pub mod bench;
pub mod check;
mod machine;
pub mod page;
pub mod pictures;
pub mod route;
pub mod run;
mod rustup;
pub mod server;
