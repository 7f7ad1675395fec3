//! Colours of drawings and pages, light and dark. Nothing is told by colour alone; the contrasts that
//! WCAG 2.2 asks for (4.5:1 for text, 3:1 for graphics) are computed in the tests below.

/// A set of colours, each as `#rrggbb`.
#[derive(Debug)]
pub struct Palette {
    /// What everything stands on.
    pub paper: &'static str,
    /// Text.
    pub ink: &'static str,
    /// Lines, and text of less weight.
    pub line: &'static str,
    /// What warns: badges and rules beside cautions.
    pub alarm: &'static str,
    /// Patterns of modules, one for each module in turn.
    pub modules: [&'static str; 6],
}

/// For light surroundings and for paper.
pub static LIGHT: Palette = Palette {
    paper: "#ffffff",
    ink: "#1a1c1e",
    line: "#59616a",
    alarm: "#a3261c",
    modules: [
        "#1f5fa8", "#8a5a00", "#2b6e3f", "#6b3fa0", "#9c3a5a", "#0b6a75",
    ],
};

/// For dark surroundings.
pub static DARK: Palette = Palette {
    paper: "#14171a",
    ink: "#f1f3f5",
    line: "#a3adb8",
    alarm: "#ff9a90",
    modules: [
        "#7db3f0", "#e0b060", "#7fc796", "#c0a0f0", "#f09ab4", "#6fc8d4",
    ],
};

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance (WCAG 2.2, definition of "relative luminance").
    fn luminance(colour: &str) -> f64 {
        let channel = |at: usize| {
            let byte = u8::from_str_radix(&colour[at..at + 2], 16).unwrap();
            let part = f64::from(byte) / 255.0;
            if part <= 0.04045 {
                part / 12.92
            } else {
                ((part + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    /// Contrast ratio (WCAG 2.2, definition of "contrast ratio").
    fn contrast(one: &str, other: &str) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn the_formula_gives_the_figures_of_the_standard() {
        // Black on white is 21:1; #767676 on white is the known edge of 4.5:1 (4.54).
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.01);
    }

    #[test]
    fn text_and_graphics_stand_out_as_the_standard_asks() {
        for palette in [&LIGHT, &DARK] {
            // Text in ink, in the colour of lines, and on badges in the colour of the paper.
            for text in [palette.ink, palette.line, palette.alarm] {
                let ratio = contrast(text, palette.paper);
                assert!(ratio >= 4.5, "{text}: {ratio:.2}");
            }
            // Letters of modules stand in the paper's colour on the module's.
            for module in palette.modules {
                let ratio = contrast(module, palette.paper);
                assert!(ratio >= 4.5, "{module}: {ratio:.2}");
            }
        }
    }
}
