//! How the web pages look: dark ink on paper, light on dark where the screen is set so, nothing from anywhere else.

use schedule::{Choices, PageSize};

/// The style sheet.
pub fn css(choices: &Choices) -> String {
    let size = if choices.large_print { "1.5rem" } else { "1rem" };
    let page = match choices.page {
        PageSize::A4 => "A4",
        PageSize::Letter => "letter",
    };
    format!(":root {{ font-size: {size} }}\n@page {{ size: {page}; margin: 13mm 13mm 13mm 25mm }}\n{SHEET}")
}

const SHEET: &str = "\
:root { color-scheme: light dark; --ink: #16181b; --paper: #fff; --faint: #565d66; --rule: #b9bfc6; --band: #e9ecef; --link: #0b4a8f }
@media (prefers-color-scheme: dark) {
  :root { --ink: #eceff2; --paper: #15181b; --faint: #a9b1ba; --rule: #4a525b; --band: #262b31; --link: #9cc7f5 }
}
* { box-sizing: border-box }
body { margin: 0 auto; max-width: 76rem; padding: 0.5rem 1rem 3rem; background: var(--paper); color: var(--ink);
  font: 1rem/1.45 system-ui, sans-serif; overflow-wrap: break-word }
header { color: var(--faint); border-bottom: 1px solid var(--rule); padding: 0.4rem 0 }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 1rem 0 0.6rem }
h2 { font-size: 1.2rem; margin: 1.6rem 0 0.4rem }
a { color: var(--link); text-underline-offset: 0.15em }
.warning { border: 3px solid var(--ink); padding: 0.5rem 0.8rem; font-weight: bold; text-align: center; margin: 0.8rem 0 }
.caution { border: 2px solid var(--ink); padding: 0.6rem 0.8rem; margin: 0.8rem 0 }
.caution strong { text-transform: uppercase; letter-spacing: 0.04em; margin-right: 0.5em }
.papers li { padding: 0.35rem 0 }
.wide { overflow-x: auto; background: #fff; color: #000 }
.wide svg, .wide img { max-width: 100%; height: auto }
figure { margin: 1rem 0 }
figcaption { color: var(--faint); font-size: 0.9rem; margin-top: 0.3rem }
table { border-collapse: collapse; width: 100%; margin: 0.6rem 0 1.4rem }
caption { text-align: left; color: var(--faint); font-size: 0.9rem; padding-bottom: 0.3rem }
th, td { text-align: left; vertical-align: top; padding: 0.3rem 0.5rem; border-bottom: 1px solid var(--rule) }
thead th { border-bottom: 2px solid var(--ink); vertical-align: bottom }
tbody th { font-weight: 600 }
.number { text-align: right; font-variant-numeric: tabular-nums }
.short { white-space: nowrap }
.group th { background: var(--band) }
tr:target { outline: 3px solid var(--link); outline-offset: -3px }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap }
.colour { white-space: nowrap }
.swatch { display: inline-block; width: 1.4em; height: 0.75em; border: 1px solid var(--ink); margin-right: 0.45em }
.box { display: inline-block; width: 1.1em; height: 1.1em; border: 1.5px solid var(--ink); vertical-align: -0.15em }
.labels { list-style: none; padding: 0; display: grid; gap: 0; grid-template-columns: repeat(auto-fill, minmax(11rem, 1fr)) }
.labels li { border: 1px dashed var(--rule); padding: 0.4rem }
.labels b { font-size: 1.4rem; display: block }
.beside { display: flex; flex-wrap: wrap; gap: 0.5rem 2rem; border-top: 1px solid var(--rule); padding-top: 0.8rem; margin-top: 2rem }
@media screen and (max-width: 40rem) {
  table, caption, tbody, tr, td, tbody th { display: block }
  thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap }
  tbody tr { border: 1px solid var(--rule); margin: 0 0 0.7rem; padding: 0.2rem 0 }
  tbody tr.group { border: 0; margin: 1rem 0 0.4rem }
  tbody th, td, td.number { border: 0; padding: 0.2rem 0.6rem; text-align: left; white-space: normal }
  tbody tr:not(.group) th { font-size: 1.15rem }
  td[data-label]::before { content: attr(data-label) ': '; color: var(--faint) }
  td[data-empty] { display: none }
}
@media print {
  :root { --ink: #000; --paper: #fff; --faint: #333; --rule: #999; --band: #e8e8e8; --link: #000 }
  body { max-width: none; padding: 0; font-size: 9.5pt }
  thead { display: table-header-group }
  tr, figure, .caution { break-inside: avoid }
  h2 { break-after: avoid }
  .beside { display: none }
  a { text-decoration: none }
  .swatch, .group th { print-color-adjust: exact; -webkit-print-color-adjust: exact }
}
";
