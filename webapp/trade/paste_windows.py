"""Whether a reflow step stays within what the data sheet of its paste says."""

from webapp.trade.pastes import Paste
from webapp.trade.ranges import number_text
from webapp.trade.route import Step, StepKind


def window_words(paste: Paste) -> str:
    """ "165 to 190 °C, 30 to 90 s": peak at the joints, time above the liquidus."""
    return f"{paste.peak_c.text('°C')}, {paste.above_liquidus_s.text('s')}"


def outside_window(step: Step, paste: Paste) -> tuple[str, ...]:
    """What of a reflow step lies outside its paste's window, a sentence each; what is not known lies nowhere."""
    if step.kind is not StepKind.REFLOW:
        return ()
    window, found = paste.peak_c, []
    if step.peak_c is not None and step.peak_c > window.high:
        found.append(f"The peak, {number_text(step.peak_c)} °C, is above the paste's {window.text('°C')}.")
    if step.joint_min_c is not None and step.joint_min_c < window.low:
        found.append(
            f"The coldest joint, {number_text(step.joint_min_c)} °C, is below the paste's {window.text('°C')}."
        )
    above = paste.above_liquidus_s
    if step.above_melting_s is not None and not above.contains(step.above_melting_s):
        seconds = number_text(step.above_melting_s)
        found.append(f"The time above melting, {seconds} s, is outside the paste's {above.text('s')}.")
    return tuple(found)
