"""How the evening page is set, besides what every printed page has."""

STYLE = """
section { margin-bottom: 8mm; }
th { font-weight: bold; font-size: 8.5pt; }
td { overflow-wrap: break-word; }
.own { display: inline-block; text-align: center; }
.symbol { display: block; margin: 0 auto; width: 15mm; height: 15mm; image-rendering: pixelated; }
.code { display: block; max-width: 30mm; font: 6.5pt/1.1 monospace; overflow-wrap: anywhere; }
.box { display: inline-block; width: 6mm; height: 6mm; border: .8pt solid #000; }
.line { display: inline-block; min-width: 40mm; border-bottom: .8pt solid #000; margin-left: 2mm; }
.strip { display: flex; flex-wrap: wrap; gap: 3mm; justify-content: space-between;
  border: 1.2pt solid #000; padding: 2mm; margin-bottom: 3mm; break-inside: avoid; }
.strip .symbol { width: 22mm; height: 22mm; }
.left { flex: 1 1 110mm; }
.who { display: flex; flex-wrap: wrap; gap: 2mm 6mm; align-items: baseline; }
.reference, .eye { font-size: 15pt; }
.second { flex-basis: 100%; white-space: nowrap; }
.facts { margin: 1mm 0 0; }
.facts th { width: 25mm; }
.facts th, .facts td { border: 0; padding: .2mm 1mm; }
.name { font-size: 10pt; }
.form td { font-size: 8pt; padding: .3mm 1mm; }
.form th { font-size: 7.5pt; padding: .3mm 1mm; }
td .own { display: flex; align-items: center; gap: 1mm; text-align: left; }
td .symbol { width: 11mm; height: 11mm; margin: 0; }
td .code { min-width: 20mm; }
.form .code { min-width: 0; overflow-wrap: normal; white-space: nowrap; }
td .box { display: block; margin: 0 auto; }
.day { white-space: nowrap; }
.extras td { height: 9mm; }
.signatures .second { display: block; margin: 5mm 0; }
.card { display: grid; grid-template-columns: 1fr 1fr 1fr; gap: 4mm; }
.act { border: 1.2pt solid #000; padding: 3mm; text-align: center; break-inside: avoid; }
.act strong { display: block; font-size: 12pt; }
.act .symbol { width: 28mm; height: 28mm; }
@media print { section + section { break-before: page; } }
"""
