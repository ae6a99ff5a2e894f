"""Classes of parts: what decides which temperatures, passes and questions matter to a part."""

from collections.abc import Mapping

from webapp.trade.masks import Possible


class PartClass(Possible):
    """A kind of part as soldering sees it; a mask of several holds all that the part may be.

    Stored as numbers (below 2**63): never reuse or renumber one.
    """

    CHIP_RESISTOR = 1 << 0
    CHIP_CAPACITOR = 1 << 1
    CHIP_INDUCTOR = 1 << 2
    CHIP_PROTECTION = 1 << 3
    POWER_INDUCTOR = 1 << 4
    TANTALUM = 1 << 5
    CAN_SMALL = 1 << 6
    CAN_8X10 = 1 << 7
    CAN_10 = 1 << 8
    CAN_LARGE = 1 << 9
    CAN_POLYMER = 1 << 10
    FILM_SMD = 1 << 11
    FILM_LEADED = 1 << 12
    SUPERCAP = 1 << 13
    CELL = 1 << 14
    CELL_HOLDER = 1 << 15
    CRYSTAL = 1 << 16
    CERAMIC_RF = 1 << 17
    SMALL_SEMI = 1 << 18
    POWER_SEMI = 1 << 19
    LEADED_IC = 1 << 20
    NO_LEAD_IC = 1 << 21
    ARRAY = 1 << 22
    HERMETIC = 1 << 23
    LED = 1 << 24
    OPTOCOUPLER = 1 << 25
    MEMS_PORT = 1 << 26
    GAS_SENSOR = 1 << 27
    MODULE = 1 << 28
    DISPLAY = 1 << 29
    CONNECTOR_HOT = 1 << 30
    CONNECTOR = 1 << 31
    HEADER = 1 << 32
    RELAY = 1 << 33
    RELAY_SMD = 1 << 34
    SWITCH_SMD = 1 << 35
    SOUNDER = 1 << 36
    TRANSFORMER_SMD = 1 << 37
    FUSE_SMD = 1 << 38
    THERMAL_CUTOFF = 1 << 39
    METAL_SMD = 1 << 40
    PRESS_FIT = 1 << 41
    RESISTOR_LEADED = 1 << 42
    CERAMIC_LEADED = 1 << 43
    CAN_LEADED = 1 << 44
    SEMI_LEADED = 1 << 45
    IC_LEADED_DIP = 1 << 46
    WOUND_LEADED = 1 << 47
    OPTO_LEADED = 1 << 48
    SWITCH_LEADED = 1 << 49
    FUSE_LEADED = 1 << 50
    CRYSTAL_LEADED = 1 << 51
    NOT_SOLDERED = 1 << 52
    UNKNOWN_SMD = 1 << 53
    UNKNOWN_LEADED = 1 << 54
    GAS_TUBE = 1 << 55

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _WORDS


_WORDS = {
    PartClass.CHIP_RESISTOR.value: "chip resistor",
    PartClass.CHIP_CAPACITOR.value: "ceramic chip capacitor",
    PartClass.CHIP_INDUCTOR.value: "chip ferrite or inductor",
    PartClass.CHIP_PROTECTION.value: "chip thermistor or varistor",
    PartClass.POWER_INDUCTOR.value: "power inductor",
    PartClass.TANTALUM.value: "moulded tantalum capacitor",
    PartClass.CAN_SMALL.value: "aluminium electrolytic can, 4 to 8 mm",
    PartClass.CAN_8X10.value: "aluminium electrolytic can, 8 × 10 mm",
    PartClass.CAN_10.value: "aluminium electrolytic can, 10 mm",
    PartClass.CAN_LARGE.value: "aluminium electrolytic can, 12.5 mm and larger",
    PartClass.CAN_POLYMER.value: "aluminium polymer capacitor",
    PartClass.FILM_SMD.value: "film capacitor, surface mount",
    PartClass.FILM_LEADED.value: "film capacitor, leaded",
    PartClass.SUPERCAP.value: "supercapacitor",
    PartClass.CELL.value: "cell or battery",
    PartClass.CELL_HOLDER.value: "cell holder",
    PartClass.CRYSTAL.value: "crystal or oscillator, surface mount",
    PartClass.CERAMIC_RF.value: "ceramic filter, antenna or balun",
    PartClass.SMALL_SEMI.value: "small diode or transistor",
    PartClass.POWER_SEMI.value: "power diode or transistor, surface mount",
    PartClass.LEADED_IC.value: "integrated circuit with leads, surface mount",
    PartClass.NO_LEAD_IC.value: "integrated circuit without leads",
    PartClass.ARRAY.value: "array package with balls",
    PartClass.HERMETIC.value: "ceramic or hermetic package",
    PartClass.LED.value: "LED, surface mount",
    PartClass.OPTOCOUPLER.value: "optocoupler, surface mount",
    PartClass.MEMS_PORT.value: "microphone or pressure sensor with a port",
    PartClass.GAS_SENSOR.value: "humidity or gas sensor",
    PartClass.MODULE.value: "module (a board soldered as a part)",
    PartClass.DISPLAY.value: "display or camera",
    PartClass.CONNECTOR_HOT.value: "connector, surface mount, plastic for reflow",
    PartClass.CONNECTOR.value: "connector, surface mount, plastic not known",
    PartClass.HEADER.value: "connector, through hole",
    PartClass.RELAY.value: "relay, through hole",
    PartClass.RELAY_SMD.value: "relay, surface mount",
    PartClass.SWITCH_SMD.value: "switch, trimmer or encoder, surface mount",
    PartClass.SOUNDER.value: "sounder",
    PartClass.TRANSFORMER_SMD.value: "transformer or choke, surface mount",
    PartClass.FUSE_SMD.value: "fuse, surface mount",
    PartClass.THERMAL_CUTOFF.value: "thermal cut-off",
    PartClass.METAL_SMD.value: "shield, clip or spacer, surface mount",
    PartClass.PRESS_FIT.value: "press-fit part",
    PartClass.RESISTOR_LEADED.value: "resistor, thermistor or varistor, leaded",
    PartClass.CERAMIC_LEADED.value: "ceramic or tantalum capacitor, leaded",
    PartClass.CAN_LEADED.value: "aluminium electrolytic capacitor, leaded",
    PartClass.SEMI_LEADED.value: "diode or transistor, leaded",
    PartClass.IC_LEADED_DIP.value: "integrated circuit, through hole",
    PartClass.WOUND_LEADED.value: "transformer, choke or coil, leaded",
    PartClass.OPTO_LEADED.value: "LED or optocoupler, leaded",
    PartClass.SWITCH_LEADED.value: "switch, trimmer or encoder, through hole",
    PartClass.FUSE_LEADED.value: "fuse or fuse holder, leaded",
    PartClass.CRYSTAL_LEADED.value: "crystal or oscillator, leaded",
    PartClass.NOT_SOLDERED.value: "part that is not soldered",
    PartClass.UNKNOWN_SMD.value: "surface-mount part of unknown kind",
    PartClass.UNKNOWN_LEADED.value: "leaded part of unknown kind",
    PartClass.GAS_TUBE.value: "gas discharge tube",
}
