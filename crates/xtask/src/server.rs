//! Serving the page on this machine alone, with the right media types and a strict policy of what it may load.

use axum::Router;
use axum::http::HeaderValue;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderName, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use tokio::net::TcpListener;
use tower_http::services::ServeDir;
use tower_http::set_header::SetResponseHeaderLayer;

/// What the page may load and do: its own files, nothing inline, nothing from elsewhere. The page carries the same as a meta
/// element for hosts that set no headers (but for `frame-ancestors`, which only a header can say).
pub const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data:; \
     font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; media-src 'self' blob:; base-uri 'none'; \
     form-action 'none'; frame-ancestors 'none'";

/// The server's routes over a folder.
pub fn app(dist: PathBuf) -> Router {
    let header = |name: HeaderName, value: &'static str| {
        SetResponseHeaderLayer::overriding(name, HeaderValue::from_static(value))
    };
    Router::new()
        .fallback_service(ServeDir::new(dist))
        .layer(header(CONTENT_SECURITY_POLICY, POLICY))
        .layer(header(X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .layer(header(REFERRER_POLICY, "no-referrer"))
        .layer(header(
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ))
        .layer(header(
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ))
        .layer(header(
            HeaderName::from_static("permissions-policy"),
            "camera=(), geolocation=(), microphone=(self), payment=(), usb=()",
        ))
        .layer(header(CACHE_CONTROL, "no-cache"))
}

/// Listens at 127.0.0.1 on this port; 0 takes a free one.
///
/// # Errors
/// When the port is taken.
pub async fn listen(port: u16) -> io::Result<TcpListener> {
    TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port))).await
}

/// Serves a folder until the program ends.
///
/// # Errors
/// When the socket fails.
pub async fn serve(listener: TcpListener, dist: PathBuf) -> io::Result<()> {
    axum::serve(listener, app(dist)).await
}

#[cfg(test)]
mod tests;
