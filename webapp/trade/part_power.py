"""Whether a part carries power, as far as its words and its outline tell: what warms its own joints.

Amperes, watts and the job in words say so, and outlines made for heat: tabs, large bodies of diodes, exposed pads.
"""

import re
from enum import Enum

from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints
from webapp.trade.package_tables import Outline


class Power(Enum):
    """What the line tells: it carries power, it does a job that takes hardly any, or nothing of the kind."""

    POWER = "power"
    SIGNAL = "signal"
    NOT_TOLD = "not told"


_JOBS_OF_POWER = re.compile(
    r"(?<!\w)(?:(?:high[ -]|hi-?)power(?!\w)|(?<!low )(?<!low-)(?<!nano )(?<!micro )power"
    r"(?!\s*(?:on|good|down|up|fail|monitor|sens|supervis|consumption|saving|per|rating))"
    r"|regulators?|ldo|vreg|buck|boost|step-(?:down|up)|flyback|dc[ /-]?dc|pwm controller|charger|charge pump"
    r"|mosfets?|[np][ -]?(?:mos|fet|ch|channel)|igbt|gan ?fet|triac|thyristor|scr|darlington|rectifier|schottky|shottky"
    r"|(?:diode|half|full|h)[ -]?bridge|bridge diode|shunt|current[ -]sens(?:e|ing) resistor|wire ?wound"
    r"|high[ -]current|motor|heater|solenoid|load switch|hot[ -]swap|e-?fuse|poe|class[ -]?d"
    r"|(?:audio|power) amplifier|(?:gate|led|relay|fet|mosfet|half[ -]bridge) driver"
    r"|terminal[ -]?block|term block|screw[ -]terminal|barrel|banana|faston|blade|bus ?bar"
    r"|pluggable terminal|terminal header|in-?rush|einschaltstrom\w*"
    r"|leistung\w*|netzteil|spannungsregler|\w*klemmen?|bornier|morsettiera|puissance|potencia|potenza)(?!\w)",
    re.IGNORECASE,
)
_JOBS_OF_SIGNALS = re.compile(
    r"(?<!\w)(?:logic|(?:nand|nor|and|or|xor|logic) gates?|gate,? (?:nand|nor|and|or|xor)|flip[ -]?flop|latch"
    r"|shift register|counter|level[ -](?:shifter|translator)|translator|(?:de)?multiplexer|mux|analog(?:ue)? switch"
    r"|buffer|schmitt|eeprom|fram|nor flash|flash memory|serial flash|comparator|op[ -]?amps?|operational amplifier"
    r"|instrumentation amplifier|adc|dac|analog to digital|digital to analog|rtc|real[ -]time clock|i/?o expander"
    r"|temperature sensor|accelerometer|gyroscope|magnetometer|imu|hall|light sensor|proximity sensor|supervisor"
    r"|reset (?:ic|generator|controller)|voltage reference|timer|digital pot\w*|fuel gauge|authentication"
    r"|npn|pnp|bjt|digital transistor|jfet|tvs|esd|transil|suppress(?:or|ion)|varicap|varactor|pin diode"
    r"|signal diode|switching diode|small[ -]signal)(?!\w)",
    re.IGNORECASE,
)
_SIGNALS_OF_COILS = re.compile(
    r"(?<!\w)(?:balun|lan|ethernet|pulse|signal|data line|audio|rf|emi|ferrite|bead|can[ -]?bus|isdn)(?!\w)",
    re.IGNORECASE,
)
_JOBS_OF_MANY = re.compile(
    r"(?<!\w)(?:micro(?:controller|processor)|mcu|cpu|soc|processor|fpga|cpld|dsp|phy|transceiver|radio|modem|controller)"
    r"(?!\w)",
    re.IGNORECASE,
)
"""Circuits that hold converters and timers beside much else."""
_LOGIC_NUMBER = re.compile(r"(?<![A-Z0-9])(?:SN|MC)?[57]4(?:AC|AHC|ALS|AUC|AUP|F|HC|LS|LV|LVC|LVT|S|VHC)T?[A-Z0-9]*\d")
_TRANSISTOR_NUMBER = re.compile(r"(?<![A-Z0-9])(?:B[CF][RSW]?\d{2,3}|MMBT|BSS\d{2,3}|2N(?:7002|[2345]\d{3}))")
_SUPPRESSOR = re.compile(r"(?<!\w)(?:tvs|esd|transil|suppress(?:or|ion))(?!\w)", re.IGNORECASE)
_RECTIFIER_NUMBER = re.compile(r"(?<![A-Z0-9])1N(?:400\d|540\d|58[12]\d|53\d\d)(?!\d)")
"""Registered types of 1 A and 3 A, and Zener diodes of 5 W."""
_EXPOSED_PAD = re.compile(r"EXPOSED|POWER ?PAD|PWR ?PAD|(?<![A-Z])H(?:TSSOP|SOP|TQFP|LQFP|SSOP|MSOP|SOIC)")
_AMPERES = re.compile(r"(?<![\d.,/\w])(\d{1,3}(?:[.,]\d{1,2})?)\s?A(?![\w/])")
_WATTS = re.compile(r"(?<![\d.,/\w])(?:(\d{1,3}(?:[.,]\d{1,3})?)|(\d)/(\d{1,2}))\s?W(?!\w)")
_LED_CURRENT = re.compile(r"(?<![\d.,])(\d{3,4})\s?mA(?!\w)", re.IGNORECASE)

_LEAST_A, _LEAST_CONTACT_A, _LEAST_W, _LEAST_LED_MA = 1.0, 5.0, 0.5, 150.0
_MOST_OF_SMALL_QFN = 20
_CONTACTS = PartClass.from_keys("connector connector_hot header relay_smd")
"""Rated for amperes that few of them carry."""
_FOR_HEAT = frozenset({"TO-220", "TO-247", "TO-126", "DO-41", "DB-107"})
_LARGE_DIODE_MM, _LARGE_LED_MM, _LARGE_RESISTOR_MM = 3.9, 3.0, 4.4


def power_in(words: str, outline: Outline | None, classes: PartClass, *, is_transistor: bool) -> Power:
    """What ``words``, all of the line, and the outline tell of a part that may be any of ``classes``.

    ``is_transistor``: the designator says so. A small one by a number alone may switch amperes.
    """
    text = words.replace("_", " ").replace(":", " ")
    upper = text.upper()
    # A suppressor is rated for watts and amperes that it carries for microseconds.
    if _SUPPRESSOR.search(text) is not None and not classes & ~_SUPPRESSORS:
        return Power.SIGNAL
    if _rated_for_power(text, upper, classes):
        return Power.POWER
    if _does_signals(text, upper, outline, classes):
        return Power.SIGNAL
    made_for_heat = outline is not None and _made_for_heat(outline, upper, classes)
    return Power.POWER if made_for_heat or is_transistor else Power.NOT_TOLD


_SUPPRESSORS = PartClass.from_keys("small_semi power_semi semi_leaded chip_protection leaded_ic no_lead_ic")


_COILS = PartClass.from_keys("transformer_smd wound_leaded power_inductor chip_inductor ceramic_rf")


def _does_signals(text: str, upper: str, outline: Outline | None, classes: PartClass) -> bool:
    if not classes & ~_COILS:
        return _SIGNALS_OF_COILS.search(text) is not None
    if outline is not None and "QFN" in outline.name and not outline.terminals.high <= _MOST_OF_SMALL_QFN:
        return False  # a converter of fast signals has a pad to get rid of its heat
    if _JOBS_OF_MANY.search(text) is not None:
        return False
    if _JOBS_OF_SIGNALS.search(text) is not None or _LOGIC_NUMBER.search(upper) is not None:
        return True
    return _TRANSISTOR_NUMBER.search(upper) is not None


def _rated_for_power(text: str, upper: str, classes: PartClass) -> bool:
    least_a = _LEAST_CONTACT_A if not classes & ~_CONTACTS else _LEAST_A
    if _JOBS_OF_POWER.search(text) is not None or _RECTIFIER_NUMBER.search(upper) is not None:
        return True
    if any(_number(match[1]) >= least_a for match in _AMPERES.finditer(upper)):
        return True
    if any(_watts(match) >= _LEAST_W for match in _WATTS.finditer(upper)):
        return True
    leds = bool(classes & PartClass.LED) and classes.certain
    return leds and any(float(match[1]) >= _LEAST_LED_MA for match in _LED_CURRENT.finditer(text))


def _made_for_heat(outline: Outline, upper: str, classes: PartClass) -> bool:
    if outline.name in _FOR_HEAT or _EXPOSED_PAD.search(upper) is not None:
        return True
    if outline.joints & Joints.LEADS and outline.joints & Joints.THERMAL_PAD:
        return True
    side = outline.length_mm.low
    return (
        (classes == PartClass.SMALL_SEMI and side >= _LARGE_DIODE_MM)
        or (classes == PartClass.LED and side >= _LARGE_LED_MM)
        or (classes == PartClass.CHIP_RESISTOR and side >= _LARGE_RESISTOR_MM)
    )


def _watts(match: re.Match[str]) -> float:
    return _number(match[1]) if match[1] else float(match[2]) / float(match[3] or 1)


def _number(text: str) -> float:
    return float(text.replace(",", "."))
