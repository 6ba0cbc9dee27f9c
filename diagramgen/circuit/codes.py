"""Problem codes of what solving the circuit shows, and of promises."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

SOLVED = Range(
    "CIR-2", "what the solved circuit shows", 110, was="C2",
    intro="Said by `sounds`, judged in every state with the knobs at 10 (blends and trimmers at 5) and the build's "
          "own load. What CIR-245 and CIR-253 to CIR-259 and CIR-271 say of a part is not said where the file says at "
          "that part what is `meant`.")
WANTED = Range("CIR-3", "wanted sounds", 120, was="C3")

CIR_200 = Code(
    "CIR-200", Severity.ERROR, "The circuit cannot be solved for a reason that is named",
    advice="Correct it and run again.", was="C200")
CIR_201 = Code(
    "CIR-201", Severity.ERROR, "A value is one that no circuit can have: negative, zero where that has no sense, or "
    "no finite number",
    advice="Give the value as it is printed on the part.", was="C201")
CIR_202 = Code(
    "CIR-202", Severity.ERROR, "Winding, magnet and kick of a coil do not fit together",
    text="A coil wound clockwise from start to finish, seen from the strings, with a north pole toward them, kicks "
         "plus (red on finish, black on start, steel coming on).",
    advice="Kick is winding times magnet: clockwise with north kicks plus. Meter again.", was="C202")
CIR_203 = Code(
    "CIR-203", Severity.ERROR, "There is no output jack, so nothing can be heard or metered",
    advice="Put the jack in, with its tip and sleeve.", was="C203")
CIR_204 = Code(
    "CIR-204", Severity.NOTE, "There are several jacks",
    text="Each is an output of its own; the first is the main one, of which a wanted sound or a reading speaks that "
         "names none with `at`.", was="C204")
CIR_205 = Code(
    "CIR-205", Severity.ERROR, "There are more than 100,000 states",
    advice="Choose: --state with the controls that stand still.", was="C205")
CIR_206 = Code(
    "CIR-206", Severity.NOTE, "No part of the build makes a signal",
    advice="Put the pickups in.", was="C206")
CIR_260 = Code(
    "CIR-260", Severity.WARNING, "A wanted hum cannot be proved, because the turns of the coils are not known",
    text="Ohms alone do not tell them. The range that what is known allows stands beside it.",
    advice="Turns, the gauge of the winding wire (`wire`) or metered inductances of the coils narrow it; `hum: most` "
           "promises less, of coils meant alike whose ohms lie within 5 %.", was="C260")
CIR_301 = Code(
    "CIR-301", Severity.ERROR, "A state gives another connection of coils than was wanted",
    text="`check` and `sounds` look for the smallest change of leads that keeps every promise, and say the same of "
         "it. A missing lead is answered by a lead: tried first are a lead more between any two nets, and an end that "
         "leads nowhere put back on a bare lug of its part; then single changes (an end moved, two ends or all that "
         "is on a coil's two ends exchanged, a lead taken out), where none will do or something else is still wrong; "
         "then two at once. At most 12,000 changes are tried, then 3000 second changes after the first ones that come "
         "nearest. What is proposed was made and solved in every state. It never\n\n"
         "- takes metal, a cover, the strings or a braid off ground, moves a bent lug, a solder bridge or the end of "
         "a conductor at its pickup, or leaves a splice with a lead that meets nothing there;\n"
         "- joins two ends of one part (a pot bypassed, a pot made a rheostat, a coil shorted), or joins a coil, "
         "transducer, track or buffer to a battery's plus;\n"
         "- plays a coil through the track of a pot at rest or past the volume it passed, or leaves a volume that "
         "does not mute, or a tone that no longer takes treble (20 dB of each coil, 6 dB of treble, or what it did "
         "before);\n"
         "- raises a warning or an error, or strands a lug that an element needs.\n\n"
         "Of changes that do none of this that one is proposed after which least is still said, each coil passes a "
         "volume as the others do, and which is the likelier: a coil's two ends are exchanged sooner than two others, "
         "an end slips to another lug of its part sooner than to another part, like parts are wired alike, a lug an "
         "element needs lacks a lead, a tone darkens every coil, a coil's start lies on ground (common practice, no "
         "source). Where several that lead to different nets are equally good, up to three are named and none is "
         "proposed. Changes that only differ in the lug of one net are one.", was="C301")
CIR_302 = Code("CIR-302", Severity.ERROR, "A state gives another phase than was wanted", was="C302")
CIR_303 = Code(
    "CIR-303", Severity.ERROR, "The hum of a state is another than was wanted",
    text="A hum is cancelled with 5 % left or less (10 % at the worst end of its range); what it is worked out from "
         "stands in `physics.md`.", was="C303")
CIR_304 = Code(
    "CIR-304", Severity.WARNING, "A wanted sound cannot be proved, because winding, magnet or kick of its coils are "
    "not known",
    advice="Give the kick of each coil, or winding and magnet; without them nobody can tell.", was="C304")
CIR_305 = Code(
    "CIR-305", Severity.ERROR, "No state is like the one a wanted sound speaks of",
    advice="Check the positions named.", was="C305")
CIR_306 = Code(
    "CIR-306", Severity.NOTE, "Every wanted sound is given, yet a lead seems to be missing, or one to be on the wrong "
    "lug",
    text="A lug that an element needs has no lead, metal is off ground, a lead ends on a contact that leads nowhere, "
         "or a volume with a bare end does not mute. Named is the one lead more, or the one end moved, after which "
         "less is said and no promise, knob or ground suffers (as under CIR-301); where several would do alike, all "
         "of them up to three. Without wanted sounds a lead is named only where exactly two ends are bare (lugs an "
         "element needs, tip, sleeve), the lead joins them, and after it, solved, no warning, error or bare lug is "
         "left but of colours.",
    advice="It is a guess: look at the instrument first.", was="C306")
REC_502 = Code("REC-502", Severity.ERROR, "A results file names a coil that the build does not have", was="J502")
REC_503 = Code(
    "REC-503", Severity.ERROR, "A coil metered loose reads open",
    text="It is broken, or a probe missed its lead. It is not taken over.",
    advice="Meter it again at the ends of its own conductors; an open coil does not go in.", was="J503")
REC_504 = Code(
    "REC-504", Severity.ERROR, "A coil metered loose reads 1000 times what is expected, or a thousandth",
    text="The letter behind the number is wrong, k for M or none for k. It is not taken over.",
    advice="Write the reading with its letter: 7.2k.", was="J504")
REC_505 = Code(
    "REC-505", Severity.WARNING, "A coil metered loose reads more than 30 % off what was expected of it (common "
    "practice, no source)",
    text="It is taken over, since the part on the bench counts.",
    advice="Shorted turns, the wrong pair of conductors, or another pickup than the build says. Where it is right, "
           "write it into the build.", was="J505")
