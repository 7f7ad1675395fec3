//! The style of a page. Colours come from the palette, whose contrasts are computed in its tests.

use super::super::palette::{DARK, LIGHT, Palette};
use std::sync::LazyLock;

/// The rules, the same for every page.
pub fn rules() -> &'static str {
    &RULES
}

static RULES: LazyLock<String> = LazyLock::new(|| {
    format!(
        "{FIXED}{}@media screen and (prefers-color-scheme:dark){{{}}}{PRINT}",
        colours(&LIGHT),
        colours(&DARK)
    )
});

/// Everything but colours.
const FIXED: &str = "*{box-sizing:border-box}\
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}\
body{margin:0;font:1rem/1.5 system-ui,'Noto Sans','Liberation Sans',Arial,sans-serif;overflow-wrap:anywhere}\
main{max-width:46rem;margin:0 auto;padding:1rem}\
h1{font-size:1.4rem;line-height:1.25;margin:0 0 .75rem}h2{font-size:1.15rem;margin:1.75rem 0 .5rem}\
p{margin:.25rem 0}.lead{font-weight:700}\
ul,ol{margin:.25rem 0;padding-left:1.4rem}li{margin:.3rem 0}\
.findings{list-style:none;padding:0}.findings>li{border-left:.3rem solid;padding:.1rem 0 .1rem .75rem;margin:.9rem 0}\
.findings>.advice,.findings>.note{border-left-style:dotted}.findings>.unknown{border-left-style:dashed}\
.findings>.warning{border-left-style:double}\
.mark{border:1px solid;border-radius:.2rem;padding:0 .3rem;margin-right:.3rem}\
.source,.check{font-size:.875rem}\
.tree{list-style:none;padding:0}.tree>li>ul{margin-bottom:.75rem}\
dl{display:grid;grid-template-columns:max-content 1fr;gap:.25rem 1rem;margin:.25rem 0}dt{font-weight:700}dd{margin:0}\
figure{margin:1rem 0}figure svg{display:block;width:100%;height:auto;max-width:34rem}\
.wide{overflow-x:auto}table{overflow-wrap:break-word;border-collapse:collapse;margin:.5rem 0;font-size:.9375rem}\
caption{text-align:left;font-weight:700;padding:.25rem 0}\
th,td{border:1px solid;padding:.25rem .5rem;text-align:left;vertical-align:top}\
.marked td{font-weight:700}\
.heard{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}\
.steps{list-style:none;padding:0}.steps>li{padding:.4rem 0 .4rem 2.1rem;position:relative;border-top:1px solid}\
.steps input{position:absolute;left:.2rem;top:.55rem;width:1.25rem;height:1.25rem;margin:0}\
.steps label{font-weight:600}.caution{border-left:.3rem solid;padding-left:2.4rem!important}\
.caution input{left:.5rem}";

/// Paper: no ink for backgrounds, nothing torn apart at the end of a sheet of whatever size.
const PRINT: &str = "@media print{@page{margin:14mm}body{font-size:10.5pt}main{max-width:none;padding:0}\
h1,h2,caption{break-after:avoid}li,tr,dt,dd,.findings>li{break-inside:avoid}\
figure{break-inside:avoid}figure svg{max-width:10.5cm;max-height:15cm}.steps>li{padding-top:.2rem;padding-bottom:.2rem;margin:0}.steps input{top:.3rem}.wide{overflow:visible}}";

fn colours(palette: &Palette) -> String {
    let Palette {
        paper,
        ink,
        line,
        alarm,
        ..
    } = palette;
    format!(
        "body{{background:{paper};color:{ink}}}.source,.check{{color:{line}}}\
th,td,.steps>li{{border-color:{line}}}.findings>li{{border-color:{line}}}\
.findings>.blocker,.findings>.warning,.steps>.caution{{border-left-color:{alarm}}}\
.blocker>p>.mark,.warning>p>.mark{{color:{alarm}}}"
    )
}
