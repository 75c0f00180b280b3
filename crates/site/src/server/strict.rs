//! What comes in, held to its form before it is parsed.
//!
//! A line of the head of a request ends in CR LF (RFC 9112, 2.2). The parser takes a bare LF too, which a proxy in front may read
//! otherwise; and a body of unknown length (chunks) is nothing that pages send. Where one of both comes a byte of it is made one that
//! no head may hold, and the parser refuses the request with status 400.

use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};

/// What no head may hold (RFC 9110, 5.5).
const NUL: u8 = 0;
/// Letters of a line that are looked at; names of the fields that matter and a length are shorter.
const LOOKED_AT: usize = 64;

/// A connection whose requests are held to their form.
pub(super) struct Strict<S> {
    inner: S,
    form: Form,
}

/// Where in a request one is.
#[derive(Debug, Default)]
struct Form {
    /// Bytes of a body that are still to come.
    body: u64,
    /// Whether the last byte was a CR.
    after_cr: bool,
    /// How long this line of the head is, and how it begins, in small letters.
    length: usize,
    line: Vec<u8>,
    /// Whether any line of this head came yet: empty lines before a request are left alone.
    begun: bool,
    /// The length of the body that this head announces.
    announced: u64,
}

impl Form {
    /// Looks at what came in, and makes what is not in form such that it is refused.
    fn hold(&mut self, bytes: &mut [u8]) {
        let mut at = 0;
        while at < bytes.len() {
            if self.body > 0 {
                let skipped = usize::try_from(self.body).unwrap_or(usize::MAX).min(bytes.len() - at);
                self.body -= skipped as u64;
                at += skipped;
                continue;
            }
            self.head(&mut bytes[at]);
            at += 1;
        }
    }

    /// One byte of a head.
    fn head(&mut self, byte: &mut u8) {
        match *byte {
            b'\n' if !self.after_cr => *byte = NUL,
            b'\n' => self.line_ends(),
            b'\r' => {}
            letter => {
                self.length += 1;
                if self.line.len() < LOOKED_AT {
                    self.line.push(letter.to_ascii_lowercase());
                }
                // Told as soon as it is known, so that no part of the body is taken for a request.
                if self.line == b"transfer-encoding:" {
                    *byte = NUL;
                }
            }
        }
        self.after_cr = *byte == b'\r';
    }

    fn line_ends(&mut self) {
        let line = std::mem::take(&mut self.line);
        let empty = std::mem::take(&mut self.length) == 0;
        if !empty {
            self.begun = true;
            if let Some(length) = line.strip_prefix(b"content-length:") {
                // What is no number the parser refuses.
                self.announced = String::from_utf8_lossy(length).trim().parse().unwrap_or(0);
            }
        } else if self.begun {
            self.begun = false;
            self.body = std::mem::take(&mut self.announced);
        }
    }
}

impl<S> Strict<S> {
    pub fn new(inner: S) -> Strict<S> {
        Strict { inner, form: Form::default() }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Strict<S> {
    fn poll_read(self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        let this = self.get_mut();
        let before = buf.filled().len();
        let read = Pin::new(&mut this.inner).poll_read(cx, buf);
        if let Some(new) = buf.filled_mut().get_mut(before..) {
            this.form.hold(new);
        }
        read
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Strict<S> {
    fn poll_write(self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.get_mut().inner).poll_write(cx, buf)
    }

    fn poll_flush(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().inner).poll_flush(cx)
    }

    fn poll_shutdown(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().inner).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bufs: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.get_mut().inner).poll_write_vectored(cx, bufs)
    }

    fn is_write_vectored(&self) -> bool {
        self.inner.is_write_vectored()
    }
}

#[cfg(test)]
mod tests {
    use super::Form;

    /// What the parser gets, however it is cut into pieces.
    fn held(request: &[u8]) -> Vec<u8> {
        let mut whole = request.to_vec();
        Form::default().hold(&mut whole);
        for piece in 1..request.len().min(40) {
            let (mut form, mut cut) = (Form::default(), request.to_vec());
            cut.chunks_mut(piece).for_each(|chunk| form.hold(chunk));
            assert_eq!(cut, whole, "in pieces of {piece}");
        }
        whole
    }

    #[test]
    fn what_is_in_form_stays_byte_by_byte() {
        let form = b"POST /save HTTP/1.1\r\nHost: x\r\nContent-Length: 12\r\n\r\na\nb\r\n\n\n=1&c\nGET / HTTP/1.1\r\nHost: x\r\n\r\n";
        assert_eq!(held(form), form);
        let two = b"\r\nGET / HTTP/1.1\r\nHost: x\r\n\r\nGET /plan HTTP/1.1\r\nX-Content-Length: 7\r\n\r\nGET / HTTP/1.1\r\n\r\n";
        assert_eq!(held(two), two);
    }

    #[test]
    fn bare_line_feeds_and_chunks_are_made_unreadable() {
        for (request, nuls) in [
            (&b"GET / HTTP/1.1\nHost: x\n\n"[..], 3),
            (b"GET / HTTP/1.1\r\nHost: x\nX: y\r\n\r\n", 1),
            (b"GET / HTTP/1.1\r\nHost: x\r\n\n", 1),
            (b"POST / HTTP/1.1\r\ntransfer-Encoding: chunked\r\n\r\n", 1),
            // The length of one body is none of the next.
            (b"POST / HTTP/1.1\r\nContent-Length: 3\r\n\r\na\nbGET / HTTP/1.1\n\r\n", 1),
        ] {
            let found = held(request).iter().filter(|byte| **byte == 0).count();
            assert_eq!(found, nuls, "{}", String::from_utf8_lossy(request));
        }
    }
}
