"""Problem codes of ``connections``, and those that several rules say. A rule's own codes stand in its own file."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

CONNECTIONS = Range(
    "CIR-1", "what the connections alone show", 100, was="C1",
    intro='Judged with every contact open. "Ground" is what leads and sure metal join to the sleeve of a jack; a nut '
          'on a metal plate is sure, a nut or screw on foil or paint is not. While a build holds ends that are not '
          'traced, what is missing is a note.')

CIR_100 = Code(
    "CIR-100", Severity.NOTE, "There is no output jack, so ground and hot were not judged",
    advice="Put the jack in, with its tip and sleeve.", was="C100")
CIR_101 = Code(
    "CIR-101", Severity.ERROR, "Nothing is joined to the tip or sleeve of a jack",
    advice="Give it its lead.",
    also=((Severity.NOTE, "while some ends are not traced yet"),),
    was="C101")
CIR_102 = Code(
    "CIR-102", Severity.ERROR, "Tip and sleeve are joined by leads or metal: the plug is muted",
    text="The way is named.",
    advice="Follow the way that is named, and open it.", was="C102")
CIR_103 = Code(
    "CIR-103", Severity.WARNING, "Tip and sleeve are joined if a nut makes contact with foil or paint",
    advice="Put tape between, and meter it.", was="C103")
CIR_104 = Code(
    "CIR-104", Severity.ERROR, "A piece of metal (case, cover, braid, baseplate) is joined to the tip: hot",
    advice="Metal, braid and cover go to ground: exchange the two leads.",
    also=((Severity.WARNING, "where only an unsure nut joins it"),),
    was="C104")
CIR_105 = Code(
    "CIR-105", Severity.NOTE, "Only nuts or screws ground the metal of these parts",
    advice="A loose nut opens it: meter case to sleeve, under 1 ohm, or run a wire.", was="C105")
CIR_106 = Code(
    "CIR-106", Severity.WARNING, "Metal is grounded only if a nut makes contact with foil or paint",
    advice="Run a lead from it to ground; foil under a nut is not sure.",
    also=((Severity.NOTE, "while some ends are not traced yet"),),
    was="C106")
CIR_107 = Code(
    "CIR-107", Severity.WARNING, "Leads rely on the case or foil of a part that nobody joined to ground",
    text="A lead to ground is advised unless solving the build with it shows that a coil falls silent in some state; "
         "that state is named instead.",
    also=((Severity.NOTE, "while some ends are not traced yet"),),
    was="C107")
CIR_108 = Code(
    "CIR-108", Severity.WARNING, "Metal that has a lug is not on ground; nothing relies on it",
    advice="Join it to ground.",
    also=((Severity.NOTE, "while some ends are not traced yet"),),
    was="C108")
CIR_109 = Code(
    "CIR-109", Severity.NOTE, "Metal that a hand can touch has no lug and sits on nothing that is grounded",
    advice="If it hums when touched, put a ring tag under its nut and ground it.", was="C109")
CIR_110 = Code(
    "CIR-110", Severity.ERROR, "A patch of foil or paint is joined to no ground: it shields nothing",
    advice="Join it to ground with a lead.",
    also=((Severity.NOTE, "while some ends are not traced yet"),),
    was="C110")
CIR_111 = Code(
    "CIR-111", Severity.WARNING, "Nothing leads from the strings to ground",
    text="A resistor and a capacitor in the wire count as a way.",
    advice="Run a lead from bridge, tailpiece or claw to ground; then meter strings to sleeve.",
    also=((Severity.NOTE, "while some ends are not traced yet"),),
    was="C111")
CIR_112 = Code(
    "CIR-112", Severity.NOTE, "The build has no strings, so the string ground was not judged",
    advice="Put in the wire to bridge, tailpiece or claw.", was="C112")
CIR_113 = Code(
    "CIR-113", Severity.WARNING, "The braid of a shielded lead or cable is joined to nothing and not said to be cut "
    "on purpose",
    advice="Write 'shield to part.case' (one end is enough), or 'shield cut' if it is meant so.", was="C113")
CIR_114 = Code(
    "CIR-114", Severity.ERROR, "A braid is hot: it is joined to the tip",
    advice="The braid goes to ground, the inner conductor to the signal: exchange them.", was="C114")
CIR_115 = Code(
    "CIR-115", Severity.WARNING, "A braid is joined to something that is not ground",
    advice="Join it to a grounded case or to the sleeve of the jack.", was="C115")
CIR_116 = Code(
    "CIR-116", Severity.NOTE, "A lug that an element needs has no lead",
    text="A pot may leave one outer lug free, a blend none; a parked end counts as wired.",
    advice="Wire it, or write '-> parked' for an end that is capped on purpose.", was="C116")
CIR_117 = Code(
    "CIR-117", Severity.NOTE, "No lead ends on a part",
    advice="Is it still to be wired?", was="C117")
CIR_118 = Code(
    "CIR-118", Severity.NOTE, "The strings reach ground only through a resistor, a capacitor or both",
    text="220 kΩ beside 1 nF in the wire is the usual network. Strings to sleeve then reads about the resistor and "
         "does not beep; with a capacitor alone it reads open. The touch test says less.",
    advice="Touching the strings then quiets hum less than with a wire. What the network is meant to guard against is "
           "not judged here, and no safety is promised by it.", was="C118")
CIR_253 = Code(
    "CIR-253", Severity.WARNING, "A volume at 0 does not silence a coil it turns down, or does not lower it on the way",
    text="At 0 it takes less than 20 dB from the coil, most often since its 0 end has no lead. A knob counts as a "
         "volume where it lowers a well heard coil by 0.3 dB at 80 Hz and at 5 Hz, where a tone takes nothing; what "
         "lets another source in instead (20 dB louder), and what takes the bass and leaves the treble, does not "
         "count. A pot with a free lug is judged with the other knobs at 0 as well. Or it silences a coil at 0 and "
         "does not lower it on the way: at 5 the coil is at least 0.5 dB louder than at 10, or a log track takes less "
         "than 2 dB of it by then, and no other knob lowers it on its own first half turn. Such a coil seems to reach "
         "the output past the track. Of a blend: from end to end it changes the balance of what it passes by less "
         "than 20 dB. The level that is said is that of the list of sounds, with cable and amplifier; what is judged "
         "is the bass at 80 Hz, which stands beside it.", was="C253")
