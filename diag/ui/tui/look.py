"""Our themes and the style sheet. Plain attributes carry everything; colour only helps."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="workshop", dark=True, primary="#d9a441", secondary="#7fb069", accent="#f0c36a", warning="#f2b134",
    error="#e4572e", success="#8fbf6b", foreground="#e8e4da", background="#1b1d1c", surface="#1b1d1c", panel="#262927",
)  # fmt: skip
MONOCHROME = "ansi-dark"  # together with NO_COLOR the only one that writes no colour codes at all

CSS = """
Screen { background: $background; color: $foreground; layout: vertical; }
#head, #said, #foot { height: auto; width: 100%; }
#said { max-height: 4; }
#foot { max-height: 3; color: $foreground; }
#stops { height: auto; max-height: 30%; scrollbar-size-vertical: 1; }
#middle { height: 1fr; }
#left { width: 1fr; height: 100%; max-width: 98; }
#next, #asking, #value, #understood { max-width: 98; }
#card, #step { max-width: 98; }
#right { width: 50; height: 100%; display: none; padding: 0 1; scrollbar-size-vertical: 1; }
#scroll { height: 1fr; scrollbar-size-vertical: 1; }
#next { height: auto; }
#asking { height: auto; max-height: 70%; scrollbar-size-vertical: 1; }
#below, #since { height: auto; width: 100%; }
#since { max-height: 2; }
Screen.-wide #since { max-height: 3; }
Screen.-wide #right { display: block; }
Screen.-wide #below { display: none; }
Screen.-low #below { max-height: 2; }
VerticalScroll { scrollbar-size-vertical: 1; }
Input { background: $background; border: none; height: 1; padding: 0; margin: 0 0 0 8; width: 60; text-style: bold; }
Input:focus { text-style: bold underline; }
OptionList { background: $background; border: none; height: 1fr; padding: 0; scrollbar-size-vertical: 1; }
OptionList > .option-list--option-highlighted { text-style: reverse; background: $background; color: $foreground; }
OptionList:focus > .option-list--option-highlighted {
    text-style: bold reverse; background: $background; color: $foreground;
}
.half { height: 1fr; }
#detail { height: 1fr; scrollbar-size-vertical: 1; }
"""
