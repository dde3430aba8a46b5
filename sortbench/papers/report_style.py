"""How a report looks: its colours on a light and a dark ground, and how it breaks onto A4 pages."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from sortbench.papers.page_parts import PLOT_STYLE

LIGHT: Mapping[str, str] = MappingProxyType(
    {
        "ground": "#fbfaf6",
        "ink": "#1d1c1a",
        "quiet": "#57534c",
        "rule": "#8a857b",
        "faint": "#d8d3c8",
        "full": "#2b6650",
        "part": "#8a5a00",
        "warn": "#8f2a1b",
        "column": "#7b766c",
        "tray": "#ffffff",
    }
)
"""The colours by role, on paper and on a light ground."""

DARK: Mapping[str, str] = MappingProxyType(
    {
        "ground": "#191a1c",
        "ink": "#ebe8e1",
        "quiet": "#b6b1a6",
        "rule": "#858178",
        "faint": "#3b3a38",
        "full": "#86c9ab",
        "part": "#e0b263",
        "warn": "#f0a091",
        "column": "#a09b90",
        "tray": "#5d5b57",
    }
)
"""The same on a dark ground."""

TEXT_ROLES = ("ink", "quiet", "warn")
"""Roles that letters have."""

DRAWN_ROLES = ("rule", "full", "part", "column")
"""Roles that lines and areas have which tell something."""


def _roles(colours: Mapping[str, str]) -> str:
    return " ".join(f"--{role}: {value};" for role, value in colours.items())


STYLE = f"""
:root {{ color-scheme: light; {_roles(LIGHT)} }}
@media screen and (prefers-color-scheme: dark) {{ :root {{ color-scheme: dark; {_roles(DARK)} }} }}
""" + (
    PLOT_STYLE
    + """
@page { size: A4; margin: 14mm 16mm 16mm;
  @bottom-right { content: counter(page) " / " counter(pages); font-size: 8pt; } }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 200mm; padding: 6mm 5mm 12mm; color: var(--ink); background: var(--ground);
  font: 10.5pt/1.4 system-ui, "Segoe UI", Roboto, "Liberation Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 18pt; line-height: 1.2; margin: 0; }
h2 { font-size: 13pt; margin: 9mm 0 1.5mm; break-after: avoid; }
h3 { font-size: 11pt; margin: 6mm 0 1mm; break-after: avoid; }
p { margin: 0 0 1.5mm; }
section > p { max-width: 165mm; }
.lead { break-after: avoid; break-inside: avoid; }
.columns { columns: 2 75mm; column-gap: 8mm; }
a { color: inherit; }
.quiet { color: var(--quiet); }
.warn { color: var(--warn); font-weight: 600; }
.hem { height: 3.2mm; margin: 3mm 0 4mm; border-top: 0.5mm solid var(--rule); border-bottom: 0.5mm solid var(--rule); }
.hem::after { content: ""; display: block; height: 0; margin-top: 0.8mm; border-top: 0.3mm solid var(--rule); }
nav { font-size: 9.5pt; margin: 0 0 3mm; }
figcaption { font-size: 9.5pt; color: var(--quiet); margin: 0.5mm 0 0; }
nav a { white-space: nowrap; margin-right: 4mm; }
dl.sums { display: grid; grid-template-columns: repeat(auto-fill, minmax(40mm, 1fr)); gap: 2.5mm; margin: 0 0 4mm; }
dl.sums div { border: 0.3mm solid var(--rule); border-top-width: 0; border-radius: 0 0 1mm 1mm; padding: 1.5mm 2.5mm;
  break-inside: avoid; }
dl.sums dt { color: var(--quiet); font-size: 9pt; }
dl.sums dd { margin: 0; font-size: 13pt; font-weight: 600; font-variant-numeric: tabular-nums; }
dl.sums dd small { display: block; font-size: 8.5pt; font-weight: 400; }
.wide { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; margin: 0 0 2mm; font-size: 9.5pt; }
caption { text-align: left; color: var(--quiet); padding: 0 0 1mm; }
thead { display: table-header-group; }
th { text-align: left; font-weight: 600; padding: 0.8mm 1.2mm; border-bottom: 0.4mm solid var(--ink);
  vertical-align: bottom; }
td { padding: 0.6mm 1.2mm; border-bottom: 0.2mm solid var(--faint); vertical-align: top; }
th[scope=row] { border-bottom: 0.2mm solid var(--faint); vertical-align: top; }
th[scope=row] small { font-weight: 400; color: var(--quiet); white-space: nowrap; }
tr { break-inside: avoid; }
.n { text-align: right; font-variant-numeric: tabular-nums; }
td.n, .over { white-space: nowrap; }
.b { width: 36mm; min-width: 28mm; }
.key { list-style: none; display: flex; flex-wrap: wrap; gap: 1mm 5mm; margin: 0 0 2mm; padding: 0; font-size: 9pt; }
.key svg { width: 7mm; height: 3.2mm; vertical-align: -0.4mm; margin-right: 1mm; }
svg.bar { display: block; width: 100%; height: auto; margin-top: 1mm; }
.swatch { display: inline-block; width: 4.4mm; height: 3.2mm; vertical-align: -0.4mm; margin-right: 1.2mm;
  border: 0.25mm solid var(--rule); print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.unknown { background: repeating-linear-gradient(45deg, var(--ink) 0 0.2mm, transparent 0.2mm 1mm),
  repeating-linear-gradient(-45deg, var(--ink) 0 0.2mm, transparent 0.2mm 1mm); }
.trays { display: grid; grid-template-columns: repeat(auto-fill, minmax(27mm, 1fr)); gap: 3mm 4mm; margin: 2mm 0 3mm;
  padding: 0; list-style: none; }
.trays li { break-inside: avoid; min-width: 0; font-size: 8.5pt; line-height: 1.25; }
.trays svg { display: block; width: 100%; height: auto; }
.trays b { font-size: 10pt; }
.pair { display: grid; grid-template-columns: repeat(auto-fit, minmax(70mm, 1fr)); gap: 0 8mm; align-items: start; }
.full { fill: var(--full); }
.rim { fill: none; stroke: var(--rule); }
.open { stroke-dasharray: 4 3; }
.inside { fill: var(--tray); }
.edge { fill: none; stroke: var(--ink); stroke-width: 0.6; }
.column { fill: var(--column); }
#part path { stroke: var(--part); stroke-width: 2.2; fill: none; }
#maybe circle { fill: var(--ink); }
#unknown path { stroke: var(--ink); stroke-width: 0.8; fill: none; }
svg.plot rect { fill: var(--column); }
.patterns { position: absolute; width: 0; height: 0; }
@media print {
  body { padding: 0; max-width: none; background: none; font-size: 9.5pt; }
  nav { display: none; }
  .wide { overflow: visible; }
  table { font-size: 8.5pt; }
  section.list { break-before: page; }
  svg { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
"""
)
"""The style of the page. Nothing on it is told by colour alone: areas have patterns, and stand beside their figures."""
