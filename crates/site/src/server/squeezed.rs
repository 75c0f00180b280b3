//! Answers made shorter on their way (gzip, RFC 1952): a drawing of 200 turnouts is some megabytes of alike lines.

use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::Response;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::Write as _;

/// Answers that are shorter gain nothing.
const LEAST: usize = 1 << 10;
/// Kinds of content that are words; pictures of points, workbooks and PDF are squeezed already.
const WORDS: [&str; 6] = ["text/html", "text/plain", "text/css", "text/javascript", "text/csv", "image/svg+xml"];

/// Whether whoever asks can read gzip (RFC 9110, 12.5.3).
pub(super) fn accepts_gzip(headers: &HeaderMap) -> bool {
    let codings = headers.get_all(header::ACCEPT_ENCODING).iter().filter_map(|h| h.to_str().ok());
    codings.flat_map(|list| list.split(',')).any(|coding| {
        let mut parts = coding.split(';').map(str::trim);
        let named = parts.next().is_some_and(|name| name.eq_ignore_ascii_case("gzip"));
        let refused = parts.any(|part| part.strip_prefix("q=").and_then(|q| q.parse::<f32>().ok()) == Some(0.0));
        named && !refused
    })
}

/// The answer squeezed, where that is worth it.
pub(super) async fn gzipped(response: Response) -> Response {
    let kind = response.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if !WORDS.iter().any(|words| kind.starts_with(words)) || response.headers().contains_key(header::CONTENT_ENCODING) {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    // What this server makes is in memory already, whole.
    let Ok(bytes) = to_bytes(body, usize::MAX).await else { return Response::from_parts(parts, Body::empty()) };
    if bytes.len() < LEAST {
        return Response::from_parts(parts, Body::from(bytes));
    }
    parts.headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    let whole = bytes.clone();
    let squeezed = tokio::task::spawn_blocking(move || {
        let mut encoder = GzEncoder::new(Vec::with_capacity(whole.len() / 6), Compression::new(6));
        encoder.write_all(&whole).and_then(|()| encoder.finish())
    });
    match squeezed.await {
        Ok(Ok(squeezed)) => {
            parts.headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
            parts.headers.remove(header::CONTENT_LENGTH);
            Response::from_parts(parts, Body::from(squeezed))
        }
        _ => Response::from_parts(parts, Body::from(bytes)),
    }
}
