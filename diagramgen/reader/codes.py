"""Problem codes of a build: its keys, the names in it, outlines, photographs."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

NAMES = Range("R3", "names that do not exist, rules across the build", 40)

R014 = Code(
    "R014", Severity.ERROR, "The format of the file is not one that is read here, is not said, or is an older one",
    also=((Severity.WARNING, "where the file does not say its format"),
          (Severity.NOTE, "where it is an older one, which is read as it was meant there")))
R015 = Code(
    "R015", Severity.ERROR, "The file holds more parts, leads or other entries than any instrument has",
    advice="Is this the right file?")
R030 = Code(
    "R030", Severity.ERROR, "An SVG file cannot be read as one",
    text="Its markup is faulty, it is another kind of file, it is nested too deeply, or it has a transform that "
         "cannot be followed.")
R031 = Code(
    "R031", Severity.ERROR, "An SVG file holds a DOCTYPE or entities",
    text="They are never expanded.",
    advice="Delete them.")
R032 = Code("R032", Severity.ERROR, "An SVG file holds a script or foreign content")
R033 = Code(
    "R033", Severity.ERROR, "An SVG file links to another file or address",
    text="Nothing is ever fetched.")
R034 = Code(
    "R034", Severity.ERROR, "An SVG file holds an event attribute such as `onload`",
    advice="Delete it.")
R035 = Code(
    "R035", Severity.ERROR, "An SVG file holds a kind of element that is not taken: a nested SVG, `use`, an image, an "
    "animation")
R036 = Code("R036", Severity.ERROR, "An SVG file holds no shape that could be the outline, or none with the given `id`")
R037 = Code(
    "R037", Severity.ERROR, "An outline cannot be used",
    text="Its path data cannot be read, it is open, it holds more than one line, or it has no size.")
R039 = Code(
    "R039", Severity.ERROR, "An outline touches or crosses itself",
    advice="Draw it as one line round the cavity.")
R040 = Code(
    "R040", Severity.ERROR, "An outline is smaller than 10 mm or larger than 600 mm, or holds almost no space",
    text="Most often its scale is wrong.",
    advice="Check its unit and scale, and whether it is the right line.")
R041 = Code("R041", Severity.ERROR, "The corner radius of a `rounded` outline is more than half its smaller side")
R111 = Code("R111", Severity.ERROR, "The blank after a colon is missing: `start:black` is one word")
R112 = Code(
    "R112", Severity.ERROR, "A shape is not written as data, is of two kinds at once, or lacks its size",
    text="Inside braces a comma ends an entry.",
    advice="Write shape: {rounded: [124, 74], corner: 12}.")
R113 = Code(
    "R113", Severity.ERROR, "A part is given a name that means something of its own",
    text="These words are taken: unknown, parked, when, sounds, hum, phase, silent, end.",
    advice="Choose another name.")
R114 = Code(
    "R114", Severity.ERROR, "A law, winding, magnet or kick is not one of the known words",
    text="The letters A, B and C mean different laws with different makers and are refused.",
    advice="Write the word: linear, log or reverse log.")
R115 = Code("R115", Severity.ERROR, "A word or value in the short text of a part's values is nothing this part has")
R116 = Code(
    "R116", Severity.ERROR, "A table of points for the law of a pot cannot be used",
    text="It has fewer than two points, a turn outside 0 to 10, a fraction outside 0 to 1, turns that do not rise, a "
         "fraction that falls, an open wiper before the last point, or no point at 0 or 10; or it stands where no law "
         "is expected.")
R301 = Code("R301", Severity.ERROR, "There is no part of this name")
R302 = Code(
    "R302", Severity.ERROR, "The part has no lug of this name, or the group gives none",
    text="Lugs are named by what they do (zero, wiper, ten), not by turning sense.")
R303 = Code("R303", Severity.ERROR, "There is no symbol of this name, or its file has faults")
R304 = Code("R304", Severity.ERROR, "The symbol has no dimension of this name")
R305 = Code("R305", Severity.ERROR, "The symbol has no value of this name")
R306 = Code(
    "R306", Severity.ERROR, "A cavity or channel that is named does not exist, or a part with a place does not say in "
    "which cavity")
R307 = Code(
    "R307", Severity.ERROR, "A cavity is given both under `cavity` and under `cavities`",
    advice="Put all cavities under 'cavities'.")
R308 = Code("R308", Severity.ERROR, "A channel does not lead from, or to, a cavity that exists")
R309 = Code(
    "R309", Severity.ERROR, "A channel leads from a cavity to itself",
    advice="Name another cavity, or leave 'to' out for the outside.")
R310 = Code("R310", Severity.ERROR, "There is no group of this name, neither in the build nor among the ready ones")
R311 = Code(
    "R311", Severity.ERROR, "A lead inside a group names an end or a part that the group has not",
    text="The place is the line that places the group; the group's own line is named in the message.")
R312 = Code("R312", Severity.ERROR, "Two things would have one name")
R313 = Code(
    "R313", Severity.ERROR, "An end of a group is left open where it is placed, or one is named that it has not")
R314 = Code("R314", Severity.ERROR, "A value is given for a part the group has not")
R315 = Code("R315", Severity.ERROR, "A part is both outside, with its leads through a channel, and inside a cavity")
R316 = Code(
    "R316", Severity.ERROR, "A measure is absurd beside the typical one (six times as much or as little)",
    advice="Measure again; the unit is mm.")
R317 = Code("R317", Severity.ERROR, "A colour is given for a lug that is no conductor of the part's own cable")
R318 = Code(
    "R318", Severity.WARNING, "Two conductors of one part have the same colour",
    advice="They cannot be told apart at the bench; check the cable, or flag them.")
R319 = Code(
    "R319", Severity.ERROR, "A part that has no legs is said to hang between two lugs, or one of the two is no lug")
R320 = Code("R320", Severity.ERROR, "Both legs of a component are on one lug, or it hangs on itself")
R321 = Code("R321", Severity.ERROR, "A lead goes from a lug to itself, or neither of its ends is a lug")
R322 = Code(
    "R322", Severity.ERROR, "A lead is given another colour than the conductor it is",
    advice="A conductor keeps its colour: correct one of the two.")
R323 = Code(
    "R323", Severity.ERROR, "The kind of a lead does not fit its ends: a bend to another part, a leg without a "
    "component")
R324 = Code(
    "R324", Severity.ERROR, "Two remarks of a lead exclude each other: a bare wire with a colour, a shield without a "
    "shielded lead, a gauge where no wire is cut")
R325 = Code("R325", Severity.ERROR, "There is no cable of this name")
R326 = Code(
    "R326", Severity.ERROR, "Two leads have the same tag",
    advice="Every lead has a tag of its own.")
R327 = Code("R327", Severity.ERROR, "A lead names the tag of a lead that does not exist, or its own")
R328 = Code(
    "R328", Severity.ERROR, "Two lugs are joined by two leads",
    text="It is an error where both have one colour, or one of them none.",
    also=((Severity.WARNING, "where the two leads have different colours"),))
R329 = Code(
    "R329", Severity.WARNING, "More wires go to a lug than it has room for",
    advice="Move one to another lug of the same net.")
R330 = Code(
    "R330", Severity.WARNING, "A component hangs by its legs, but not both of them are joined",
    advice="Say where it hangs: between: [volume.ten, volume.wiper].")
R331 = Code(
    "R331", Severity.WARNING, "No lead touches a part",
    advice="Add its leads, or delete it.")
R332 = Code("R332", Severity.ERROR, "A part is mounted on itself, or on something that has no metal")
R333 = Code(
    "R333", Severity.ERROR, "A wanted state wants nothing",
    advice="Add sounds, phase or hum.")
R334 = Code(
    "R334", Severity.ERROR, "A control that is named does not exist, or the part has several and it is not said which")
R335 = Code("R335", Severity.ERROR, "The control has no position of this name")
R336 = Code("R336", Severity.ERROR, "There is no coil of this name, or the part has several and it is not said which")
R337 = Code(
    "R337", Severity.ERROR, "A control moves together with two sets of others",
    advice="Put all of them in one.")
R341 = Code(
    "R341", Severity.ERROR, "A file of changes is not made as one",
    text="It holds `parts`, `leads` or `lugs` of its own, which belong under `take out` and `put in`; or it says what "
         "to take out or put in without saying what it changes.")
R342 = Code(
    "R342", Severity.ERROR, "The build a file of changes begins from has errors of its own, or is a file of changes "
    "itself")
R343 = Code(
    "R343", Severity.ERROR, "A part that is to be taken out is not in the build that is changed, or is inside a group")
R344 = Code(
    "R344", Severity.ERROR, "A lead that is to be taken out is not in the build that is changed, or several are meant")
R345 = Code("R345", Severity.ERROR, "The file named under `as found` has errors of its own, or is the build itself")
R346 = Code(
    "R346", Severity.ERROR, "The name of a part, lug, position, cavity, channel or cable holds characters that the "
    "shipped letters do not have, or that run from right to left",
    text="On paper it would be a row of empty boxes, and a joint could not be found by it.",
    advice="Give a name in Latin, Greek or Cyrillic letters under `says`.")
R347 = Code(
    "R347", Severity.WARNING, "A title, name in the title line, note or remark holds characters that the shipped "
    "letters do not have, or that run from right to left",
    advice="The sheets are printed all the same; write what is missing by hand.")
R348 = Code(
    "R348", Severity.WARNING, "A value is possible but far from what instruments have",
    text="Such are a pot of 500 Ω, a coil of 6.5 Ω, a tone capacitor of 22 µF. Mostly a letter is missing (500k, "
         "6.5k, 22n).",
    advice="Where the part on the bench is so, leave it.")
R350 = Code(
    "R350", Severity.ERROR, "A part says under `metered` that it, or a value of it, was metered, but gives no such "
    "value")
J501 = Code(
    "J501", Severity.ERROR, "A results file holds no keys",
    advice="Write an empty one to fill in with: diagramgen readings BUILD --out FILE.")
J512 = Code(
    "J512", Severity.WARNING, "More than twelve photographs are named for the record",
    advice="Choose the ones that tell most.")
J513 = Code(
    "J513", Severity.WARNING, "A photograph is left out",
    text="It is no JPEG or PNG, it is broken, or it claims to be larger than a camera makes them.")
