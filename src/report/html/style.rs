//! The style sheet of the report: the tables of the visual language, and the page around them.

use super::base64::base64;
use crate::plot::{Cause, Palette};
use crate::report::svg;
use std::fmt::Write;

/// Weights 500 and 600 of the typeface (SIL Open Font License 1.1, see assets/fonts/OFL.txt).
const MEDIUM: &[u8] = include_bytes!("../../../assets/fonts/UnderpinSans-Medium.woff2");
const SEMI_BOLD: &[u8] = include_bytes!("../../../assets/fonts/UnderpinSans-SemiBold.woff2");

/// The page: one column up to 719 px, two where pictures stand side by side, A4 on paper.
const PAGE: &str = "\
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0 auto;padding:20px 16px 32px;max-width:714px;background:var(--ground);color:var(--ink);
font:500 14px/1.4 'Underpin Sans',sans-serif;-webkit-print-color-adjust:exact;print-color-adjust:exact}
.textures{position:absolute}
header{display:flex;flex-wrap:wrap;gap:4px 24px;font-size:12px;color:var(--ink2);align-items:baseline}
.slab{color:var(--ink);font-size:13px;position:relative;padding-bottom:3px;border-bottom:2.4px solid}
.slab:after{content:'';position:absolute;left:4px;right:2px;bottom:-6.4px;height:4px;
background:repeating-linear-gradient(90deg,currentColor 0 1.6px,transparent 1.6px 9px)}
.subject{margin-left:auto;overflow-wrap:anywhere}
h1{font-weight:500;font-size:21px;line-height:1.36;margin:20px 0 10px;overflow-wrap:anywhere}
h1 b{font-weight:600;padding-bottom:1px;background-repeat:no-repeat;background-position:0 100%;
-webkit-box-decoration-break:clone;box-decoration-break:clone}
h2{font-weight:600;font-size:13px;margin:0 0 3px;overflow-wrap:anywhere}
h2 small{font-weight:500;font-size:12px;color:var(--ink2);margin-left:8px}
h2 .unit{float:right;font-weight:500;font-size:11.5px;color:var(--ink2)}
svg{display:block;max-width:100%;height:auto;overflow:visible}
section{margin:14px 0 0;break-inside:avoid}
.narrow{display:none}
.pair{display:grid;grid-template-columns:434px 222px;gap:0 26px}
.pair section:first-child{grid-row:1/3}
.line{border-top:1px solid var(--rule);padding-top:6px}
.columns{display:flex;gap:8px 20px;border-top:1.4px solid var(--ink);padding-top:6px}
.columns div{flex:1 1 0}.columns div:last-child{flex-grow:1.16}
.columns ul{margin:0;padding:0;list-style:none;font-size:11.5px;line-height:1.4}
.columns li{padding-left:10px;text-indent:-10px;margin-bottom:2px}
.plate{background:var(--fault);color:var(--sheet);font-weight:600;padding:0 4px}
.open{border:1px dashed var(--ink);font-weight:500;padding:0 3px}
table{border-collapse:collapse;width:100%;font-size:12px;font-variant-numeric:tabular-nums}
table.slim{width:auto}table.slim td,table.slim th{padding-left:24px}
th{font-weight:500;color:var(--ink2);text-align:left;border-bottom:1.3px solid var(--ink);padding:2px 8px 2px 0}
td{border-bottom:1px solid var(--grid);padding:2.5px 8px 2.5px 0;vertical-align:top;overflow-wrap:break-word}
thead td{border-bottom:1.3px solid var(--ink)}
th.n,td.n{text-align:right;padding:2.5px 12px 2.5px 8px;white-space:nowrap}
td.strong{font-weight:600;min-width:8em;overflow-wrap:anywhere}
td.octave{color:var(--octave);font-weight:600}
td.low{color:var(--low);font-weight:600}
.figures{margin-top:28px;border-top:1.4px solid var(--ink);padding-top:2px}
.scroll{overflow-x:auto}
.next{margin:12px 0 0;padding:5px 8px;border:1.3px solid var(--ink)}.next b{margin-right:6px}
.glossary dl{margin:0;font-size:11.5px;columns:2;column-gap:24px}.glossary dt{font-weight:600;break-after:avoid}
.glossary dd{margin:0 0 4px;color:var(--ink2);break-inside:avoid}
.sounds p{margin:4px 0}.sounds small{color:var(--ink2);margin-left:6px}.sounds audio{width:100%;height:36px}
.hash{font-size:10.5px;overflow-wrap:anywhere}
footer{margin-top:22px;font-size:11px;color:var(--ink2);overflow-wrap:anywhere}
@media(max-width:719px){.glossary dl{columns:1}.wide{display:none}.narrow{display:block}.pair{display:block}
.columns{flex-direction:column}.subject{margin-left:0}h1{font-size:18px;margin-top:16px}
h2{display:flex;flex-direction:column}h2 .unit{order:2}h2 small{margin:0}body{max-width:391px}section{margin-top:20px}}
@media print{.scroll{overflow:visible}.figures{margin-top:20px}section{margin-top:11px}footer{margin-top:12px}.wide{display:block}.narrow{display:none}
.pair{display:grid}.columns{flex-direction:row}.subject{margin-left:auto}
h1{font-size:21px}body{max-width:none;width:682px;padding:0}h2{display:block}h2 small{margin-left:8px}
.sounds{display:none}}
@page{margin:11mm 15mm 10mm 14.7mm}
";

/// The whole style sheet.
pub(super) fn style() -> String {
    let mut rules = String::new();
    for (weight, font) in [(500, MEDIUM), (600, SEMI_BOLD)] {
        let _ = writeln!(
            rules,
            "@font-face{{font-family:'Underpin Sans';font-weight:{weight};\
             src:url(data:font/woff2;base64,{})format('woff2')}}",
            base64(font)
        );
    }
    // On paper and by day the page is white; the light of the low end stays.
    let day = format!("{}--ground:#fff;--sheet:#fff;", svg::colours(Palette::Day));
    let night = svg::colours(Palette::Night);
    let high_contrast = svg::colours(Palette::HighContrast);
    let _ = writeln!(rules, ":root{{{day}}}");
    let _ = writeln!(rules, "@media screen and (prefers-color-scheme:dark){{:root{{{night}}}}}");
    let _ =
        writeln!(rules, "@media screen and (prefers-contrast:more){{:root{{{high_contrast}}}}}");
    rules += PAGE;
    for cause in Cause::ALL {
        rules += &underline(cause);
    }
    rules + &svg::style() + "\n"
}

/// The underline of a cause's words, in its dash.
fn underline(cause: Cause) -> String {
    let stroke = cause.stroke();
    let ink = format!("var(--{})", stroke.ink.key());
    let mut at = 0.0;
    let mut stops = Vec::new();
    for (i, length) in stroke.dash.iter().enumerate() {
        let colour = if i % 2 == 0 { ink.as_str() } else { "transparent" };
        stops.push(format!("{colour} {at}px {}px", at + length));
        at += length;
    }
    let image = match stops.is_empty() {
        true => format!("linear-gradient({ink},{ink})"),
        false => format!("repeating-linear-gradient(90deg,{})", stops.join(",")),
    };
    let thick = (stroke.width + 0.6).round().max(1.5);
    format!(
        ".u-{}{{color:{ink};background-image:{image};background-size:100% {thick}px}}\n",
        cause.key()
    )
}
