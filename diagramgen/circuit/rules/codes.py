"""Problem codes of the rules on connections and solved states."""

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
CIR_120 = Code(
    "CIR-120", Severity.WARNING, "A lead ends on a lug of a switch, and every lug that some position joins to it is "
    "without a lead: it leads nowhere in any position",
    text="Those lugs are named.",
    advice="Wire the other side of the contact, or write '-> parked' if the lead only rests there.",
    also=((Severity.NOTE, "where several leads end on it: the lug may only tie them together"),),
    was="C120")
CIR_220 = Code(
    "CIR-220", Severity.ERROR, "Current flows from the battery with the plug out (with every plug out, where there "
    "are several jacks)",
    advice="Switch it with the plug: battery minus to the ring of a stereo jack, or a switched jack.", was="C220")
CIR_221 = Code(
    "CIR-221", Severity.NOTE, "A stereo plug leaves the battery off: the usual price of battery minus on the ring",
    advice="Use mono plugs, or a jack with switch contacts of its own.", was="C221")
CIR_222 = Code(
    "CIR-222", Severity.ERROR, "The battery is never on with a mono plug in (a mono plug in every jack)",
    advice="Follow plus to the board and minus to what the plug joins.", was="C222")
CIR_223 = Code(
    "CIR-223", Severity.ERROR, "A signal and the battery share the ring of a jack: a mono plug, which joins ring and "
    "sleeve, mutes the signal, and a stereo plug leaves the battery off",
    text="A signal alone on the ring is CIR-226.",
    advice="Switch the battery with a pair of contacts of its own, or give the signal a jack of its own.", was="C223")
CIR_224 = Code(
    "CIR-224", Severity.ERROR, "The battery is shorted in the state named: more than 0.1 A flows, limited only by the "
    "battery itself",
    advice="Battery out at once. Follow plus and minus with the meter: they must not meet.", was="C224")
CIR_225 = Code(
    "CIR-225", Severity.WARNING, "A build with several jacks has one at which nothing is heard in any state, with any "
    "knob at 0, 5 or 10", was="C225")
CIR_226 = Code(
    "CIR-226", Severity.NOTE, "What is on the ring of a jack is heard with a stereo plug only; a mono plug shorts it "
    "to the sleeve",
    text="That is an ordinary wiring, say a magnetic pickup on the tip and a transducer on the ring.",
    advice="It wants a stereo cable to two inputs; tell the player. For mono cables give it a jack of its own.",
    was="C226")
CIR_227 = Code(
    "CIR-227", Severity.WARNING, "What is on the ring of a jack is joined to the tip, so that a mono plug, which "
    "shorts the ring, silences coils at the tip as well",
    advice="What is on the ring is joined to the tip: part the two, or keep to a stereo cable.", was="C227")
CIR_228 = Code(
    "CIR-228", Severity.WARNING, "A mono plug shorts the output of a board that is on the ring",
    advice="Whether the board stands that its own sheet says; it may draw more current meanwhile. Use a stereo cable "
           "only, or give it a jack of its own.", was="C228")
CIR_229 = Code(
    "CIR-229", Severity.WARNING, "An output gives nothing while the plug of another jack is out, most often because "
    "that plug switches the battery of its board",
    advice="If it is meant, tell the player; else switch the battery with either plug.", was="C229")
CIR_240 = Code(
    "CIR-240", Severity.ERROR, "Metal or a braid (case, cover, baseplate, frame) carries signal in the state named: "
    "it hums when touched and shorts the sound when it meets ground",
    text="What leads alone join to the tip is CIR-104 or CIR-114. The two leads are to be exchanged only where the "
         "other end carries no signal in any state. Where an end of the coil is one with the metal (a braid behind a "
         "phase switch) no exchange helps: free that end from it, or turn another pickup round where one has its "
         "coils free of its metal.", was="C240")
CIR_241 = Code(
    "CIR-241", Severity.WARNING, "A pot that is no divider (one outer lug is free) joins hot straight to ground at "
    "one end of its way: the capacitor of a tone branch is missing or bypassed",
    advice="A tone branch needs its capacitor between pot and ground; a volume needs all three lugs.", was="C241")
CIR_242 = Code(
    "CIR-242", Severity.WARNING, "In the state named a coil hangs on hot by one end while its other end is open: it "
    "sounds of nothing and picks up noise",
    text="Switch its hot end, or short the coil in that state alone; a coil that is heard in no state lacks a lead at "
         "its open end. The idle stretch of a tapped winding hangs on the one that is played, as is meant; it is one "
         "winding, and shorting part of it would be a shorted turn.", was="C242")
CIR_243 = Code(
    "CIR-243", Severity.WARNING, "A knob turns the wrong way",
    text="In some state a coil is louder or brighter (3 dB or more from 2 to 8 kHz) with the knob at 0 than at 10, "
         "and in none the other way round. To exchange what is on the 0 end and the 10 end is advised as for CIR-211: "
         "only where, solved, it mends and does no harm; a missing ground lead comes first. Knobs with a detent and "
         "trimmers have no right way round and are not judged.", was="C243")
CIR_244 = Code(
    "CIR-244", Severity.WARNING, "The log track of a volume or tone is backwards",
    text="A volume loses less than 2.5 dB from 10 to 5, and all the rest on the last stretch (judged where one pickup "
         "sounds alone and all three lugs have leads); a tone loses less than 2.5 % of the decibels of treble (2 to 8 "
         "kHz) that it takes in all (log tracks with usual parts: 7 to 36 %, reverse log ones at most 1.3 %, "
         "computed). Where a log pot turns the wrong way, CIR-243 says so.",
    advice="A volume or tone wants a log track, or a reverse log one only where it turns the other way.", was="C244")
CIR_245 = Code(
    "CIR-245", Severity.WARNING, "Turning a knob, blend or trimmer changes nothing that is heard: its branch leads "
    "nowhere",
    text="Nothing is less than 0.1 dB from 80 Hz to 8 kHz between 0, 5 and 10 in any state, with the other knobs at "
         "rest or at 5. Lugs of its track without a lead are named. Not judged where a source, pot or board is on the "
         "ring of the jack.", was="C245")
CIR_246 = Code(
    "CIR-246", Severity.NOTE, "A volume at 0 mutes the other pickup as well where both are on",
    text="With the pickup on the wiper and the output on the 10 end the other one stays.",
    advice="Usual. Pickup on the wiper, output on the 10 end keeps the other one, at the price of treble when turned "
           "down.", was="C246")
CIR_247 = Code(
    "CIR-247", Severity.WARNING, "A passive coil works into a load of less than ten times its own resistance at "
    "direct current, amplifier included (common practice, no source)",
    text="Of the ways to count the other coils, open or shorted, the one with the largest load is taken, so that "
         "coils in series or parallel raise no false alarm.",
    advice="Treble and level are lost: 250k pots or more, or a buffer before low ones.", was="C247")
CIR_248 = Code(
    "CIR-248", Severity.WARNING, "A contact transducer works into so little that its bass is lost",
    text="Its corner (one over 2 pi R C) lies above 165 Hz, an octave over the lowest string of a guitar (82.4 Hz). "
         "One that a knob at rest keeps away from the tip is judged wherever it has a load.",
    advice="A contact transducer wants a buffer of 5 to 10 MΩ close to it.", was="C248")
CIR_250 = Code(
    "CIR-250", Severity.WARNING, "Two hook-up wires of one colour end at one part but stand for two nets",
    text="Conductors of cables and of pickups, and wires that were found and kept, do not count.",
    advice="Take another colour for one of them, or tag both ends.", was="C250")
CIR_251 = Code(
    "CIR-251", Severity.NOTE, "Ground goes round in a ring",
    text="The wires named could each be left out; or nuts on metal are a second way beside them. It does no harm in "
         "an instrument this size.", was="C251")
CIR_252 = Code(
    "CIR-252", Severity.WARNING, "A contact of a switch switches nothing",
    text="Its two lugs are on one net in every state of all switches, though the contact itself opens in some of "
         "them. One lug was used for two things, or a lead bridges the contact; the other way is named. Bridged "
         "commons, poles in parallel, positions that close two throws, and throws joined to each other where a third "
         "position opens them raise nothing, for their contacts part in some state. A pole all of whose lugs lie on "
         "ground is a tie point; builds of more than 2000 states are not judged. What is joined only by a wiper at an "
         "end of its track does not count.", was="C252")
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
CIR_254 = Code(
    "CIR-254", Severity.WARNING, "A knob does hardly anything: no curve of a well heard coil changes by 3 dB from 80 "
    "Hz to 8 kHz",
    text="CIR-245 is the knob that does nothing at all.", was="C254")
CIR_255 = Code(
    "CIR-255", Severity.WARNING, "A volume has its source on the wiper and its output on the 10 end, and in no state "
    "another source is on the output",
    text="Two volumes are wired so that one turned down does not mute the other; with nothing to keep it only puts "
         "less and less of the track across the pickup, which dulls it.",
    advice="Exchange the two.", was="C255")
CIR_256 = Code(
    "CIR-256", Severity.WARNING, "A switch, button or pull changes nothing",
    text="Nothing that is heard (0.2 dB) or drawn from the battery changes, at any output, in any state of the "
         "others, with the knobs at rest, all at 5, or any one at 0. One without any lead is not judged, nor are "
         "builds of more than 2000 states.", was="C256")
CIR_257 = Code(
    "CIR-257", Severity.WARNING, "Two or more positions of a switch give the same",
    text="Judged as CIR-256: a lead is missing, or it is meant. Positions of which promises under `wanted` speak, "
         "each of them, may be alike; all that are silent are CIR-210.",
    advice="Is a lead missing on one of them? Where they are meant alike, promise each under 'wanted'.", was="C257")
CIR_258 = Code(
    "CIR-258", Severity.WARNING, "A resistor or capacitor carries nothing in any state, with any knob off its ends",
    text="No way between the output, the input or supply of a board, the battery, or strings and ground leads through "
         "it. One with both ends on one net is CIR-119.", was="C258")
CIR_259 = Code(
    "CIR-259", Severity.WARNING, "A board never has its supply in any state with the plug in, though the battery is "
    "on; or its ground is on no sleeve", was="C259")
CIR_270 = Code(
    "CIR-270", Severity.NOTE, "A switch of three or more positions joins throws without a lead to lugs in use, in "
    "positions of which no promise speaks",
    text="Only who planned it knows whether they are meant to be free.",
    advice="Is it meant so? What a position shall give can be said under 'wanted'; then it is proved.", was="C270")
CIR_271 = Code(
    "CIR-271", Severity.WARNING, "A treble bleed changes hardly any treble",
    text="The treble (2 to 8 kHz) of every coil changes by less than 0.5 dB with its volume at half turn, in every "
         "state looked at (the first 12 networks); usual ones change 5 to 13 dB (computed).",
    advice="A treble bleed is about 680p to 1n2 with 130k to 150k: is a value a thousand times off?", was="C271")
