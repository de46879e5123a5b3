//! Times the work that the page repeats as a slider moves. Natively it prints its figures; in a browser it writes them into
//! the page. `cargo xtask bench` runs both.

mod measure;
mod sounds;

#[cfg(not(target_arch = "wasm32"))]
#[allow(clippy::print_stdout)]
fn main() {
    let start = std::time::Instant::now();
    println!("{}", measure::all(|| start.elapsed().as_secs_f64() * 1e3));
}

#[cfg(target_arch = "wasm32")]
fn main() {
    let Some(window) = web_sys::window() else {
        return;
    };
    let (Some(document), Some(clock)) = (window.document(), window.performance()) else {
        return;
    };
    let figures = measure::all(|| clock.now());
    if let Some(place) = document.document_element() {
        // A browser refuses only names that are no names.
        let _ = place.set_attribute("data-figures", &figures);
    }
}
