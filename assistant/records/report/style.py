"""How the report looks: one sheet of style for the screen and for paper."""

STYLE = """
:root { --ink: #1d2733; --soft: #5b6775; --line: #c9cfd6; --paper: #fff; --wash: #f3f1ea; --good: #17694d;
  --bad: #a8261c; --close: #8a5a00; --window: #dcebe3; --share: #31506e; --rope: #b59a63; }
* { box-sizing: border-box; }
html { background: #e9e6dd; }
body { margin: 0 auto; padding: 26px 34px 30px; max-width: 860px; background: var(--paper); color: var(--ink);
  font: 14px/1.42 "Liberation Sans", "DejaVu Sans", Arial, sans-serif; border-left: 7px solid var(--rope); }
h1 { font-size: 25px; line-height: 1.15; margin: 0 0 2px; letter-spacing: -.2px; }
h2 { font-size: 15px; margin: 26px 0 8px; padding-top: 7px; border-top: 2px solid var(--ink); break-after: avoid; }
h3 { font-size: 13px; font-weight: 600; margin: 14px 0 3px; break-after: avoid; }
p { margin: 0 0 6px; } .soft { color: var(--soft); }
.invented { background: #fff3c4; border: 2px solid #8a5a00; padding: 6px 10px; margin: 0 0 14px; font-weight: 700; }
.three { display: grid; grid-template-columns: 1fr 1fr 1fr; gap: 12px; margin: 16px 0 4px; }
.three section { background: var(--wash); border-top: 4px solid var(--rope); padding: 8px 12px 9px; }
.three h2 { border: 0; margin: 0 0 3px; padding: 0; font-size: 12px; color: var(--soft); }
.three p { font-size: 15px; font-weight: 600; line-height: 1.28; margin: 0 0 3px; }
.three .soft { font-size: 12px; font-weight: 400; }
dl { display: grid; grid-template-columns: 120px 1fr 120px 1fr; column-gap: 10px; margin: 0; }
dl { break-inside: avoid; }
dl .long { grid-column: span 3; }
dt { color: var(--soft); padding: 2px 0; } dd { margin: 0; padding: 2px 0; }
table { border-collapse: collapse; width: 100%; font-size: 12.5px; }
th { text-align: left; color: var(--soft); font-weight: 600; border-bottom: 1px solid var(--ink);
  padding: 3px 8px 3px 0; vertical-align: bottom; }
td { border-bottom: 1px solid var(--line); padding: 4px 8px 4px 0; vertical-align: top; }
thead { display: table-header-group; } tr { break-inside: avoid; }
.under { display: block; color: var(--soft); font-size: 11px; line-height: 1.32; }
.v { white-space: nowrap; font-weight: 700; } .n { text-align: right; padding-right: 10px; }
.good { color: var(--good); } .bad { color: var(--bad); } .close { color: var(--close); } .back td { color: #8a929b; }
.positions th[scope] { color: var(--ink); border-bottom: 1px solid var(--line); vertical-align: top;
  white-space: nowrap; } .wide + p { margin-top: 6px; }
.positions td { font-weight: 600; } .positions td.good { font-weight: 400; color: var(--ink); }
td.read { min-width: 7.2em; } .short { white-space: nowrap; } td.limits { min-width: 8.6em; }
.back .read { text-decoration: line-through; }
figure { margin: 0 0 8px; break-inside: avoid; }
svg { display: block; overflow: visible; max-width: 100%; height: auto; }
ul { margin: 0; padding-left: 18px; } li { margin: 0 0 3px; }
.cols { display: table; table-layout: fixed; width: 100%; font-size: 12px; }
.cols ul { display: table-cell; padding-right: 22px; }
.cols, .end { break-inside: avoid; }
.key { break-after: avoid; font-size: 11.5px; color: var(--soft); margin: 2px 0 6px; }
.open { border: 2px solid var(--close); padding: 8px 12px; break-inside: avoid; } .open ul { padding-left: 18px; }
.signs { display: grid; grid-template-columns: 1fr 1fr; gap: 34px 40px; margin-top: 38px; break-inside: avoid; }
.signs div { border-top: 1px solid var(--ink); padding-top: 3px; font-size: 11.5px; color: var(--soft); }
audio { height: 24px; width: 150px; display: block; margin-top: 3px; }
footer { margin-top: 26px; font-size: 11px; color: var(--soft); border-top: 1px solid var(--line); padding-top: 6px; }
@media (max-width: 640px) { body { padding: 16px 14px; } .three, .signs { grid-template-columns: 1fr; }
  .cols, .cols ul { display: block; } dl { grid-template-columns: 110px 1fr; }
  dl .long { grid-column: auto; } .wide, figure { overflow-x: auto; }
  .wide td:nth-child(3) { min-width: 15em; } figure svg { min-width: 560px; } }
@media print {
  html, body { background: #fff; } body { max-width: none; padding: 0 0 0 12px; font-size: 11px; }
  body { border-left-width: 4px; }
  h1 { font-size: 20px; } h2 { margin: 13px 0 5px; padding-top: 5px; } h3 { margin-top: 9px; }
  table { font-size: 9.5px; } .under { font-size: 8.5px; }
  .three p { font-size: 12px; } .three { gap: 8px; } audio { display: none; } .cols { font-size: 9.5px; }
  dl { grid-template-columns: 92px 1fr 92px 1fr 92px 1fr; column-gap: 8px; } dl .long { grid-column: span 5; }
  dt, dd { padding: 1px 0; } .key { font-size: 10px; } .signs { gap: 26px 40px; margin-top: 28px; }
  footer { margin-top: 12px; font-size: 9.5px; }
  * { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
}
@page { margin: 14mm 13mm 15mm; }
"""


def paper(name: str) -> str:
    """The page size for a PDF: ``letter`` or ``a4``, with numbers at the foot."""
    size = {"letter": "8.5in 11in", "a4": "210mm 297mm"}[name]
    return (
        f"@page {{ size: {size}; @bottom-right {{ content: counter(page) ' of ' counter(pages); font-size: 9px; "
        "color: #5b6775; font-family: 'Liberation Sans', sans-serif; } }"
    )
