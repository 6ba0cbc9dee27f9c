"""Problem codes of a build: its keys, the names in it, outlines, photographs."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

NAMES = Range("INP-3", "names that do not exist, rules across the build", 40, was="R3")

INP_014 = Code(
    "INP-014", Severity.ERROR, "The format of the file is not one that is read here, is not said, or is an older one",
    also=((Severity.WARNING, "where the file does not say its format"),
          (Severity.NOTE, "where it is an older one, which is read as it was meant there")),
    was="R014")
INP_015 = Code(
    "INP-015", Severity.ERROR, "The file holds more parts, leads or other entries than any instrument has",
    advice="Is this the right file?", was="R015")
INP_030 = Code(
    "INP-030", Severity.ERROR, "An SVG file cannot be read as one",
    text="Its markup is faulty, it is another kind of file, it is nested too deeply, or it has a transform that "
         "cannot be followed.", was="R030")
INP_031 = Code(
    "INP-031", Severity.ERROR, "An SVG file holds a DOCTYPE or entities",
    text="They are never expanded.",
    advice="Delete them.", was="R031")
INP_032 = Code("INP-032", Severity.ERROR, "An SVG file holds a script or foreign content", was="R032")
INP_033 = Code(
    "INP-033", Severity.ERROR, "An SVG file links to another file or address",
    text="Nothing is ever fetched.", was="R033")
INP_034 = Code(
    "INP-034", Severity.ERROR, "An SVG file holds an event attribute such as `onload`",
    advice="Delete it.", was="R034")
INP_035 = Code(
    "INP-035", Severity.ERROR, "An SVG file holds a kind of element that is not taken: a nested SVG, `use`, an image, "
    "an animation", was="R035")
INP_036 = Code(
    "INP-036", Severity.ERROR, "An SVG file holds no shape that could be the outline, or none with the given `id`",
    was="R036")
INP_037 = Code(
    "INP-037", Severity.ERROR, "An outline cannot be used",
    text="Its path data cannot be read, it is open, it holds more than one line, or it has no size.", was="R037")
INP_039 = Code(
    "INP-039", Severity.ERROR, "An outline touches or crosses itself",
    advice="Draw it as one line round the cavity.", was="R039")
INP_040 = Code(
    "INP-040", Severity.ERROR, "An outline is smaller than 10 mm or larger than 600 mm, or holds almost no space",
    text="Most often its scale is wrong.",
    advice="Check its unit and scale, and whether it is the right line.", was="R040")
INP_041 = Code(
    "INP-041", Severity.ERROR, "The corner radius of a `rounded` outline is more than half its smaller side",
    was="R041")
INP_111 = Code("INP-111", Severity.ERROR, "The blank after a colon is missing: `start:black` is one word", was="R111")
INP_112 = Code(
    "INP-112", Severity.ERROR, "A shape is not written as data, is of two kinds at once, or lacks its size",
    text="Inside braces a comma ends an entry.",
    advice="Write shape: {rounded: [124, 74], corner: 12}.", was="R112")
INP_113 = Code(
    "INP-113", Severity.ERROR, "A part is given a name that means something of its own",
    text="These words are taken: unknown, parked, when, sounds, hum, phase, silent, end.",
    advice="Choose another name.", was="R113")
INP_114 = Code(
    "INP-114", Severity.ERROR, "A law, winding, magnet or kick is not one of the known words",
    text="The letters A, B and C mean different laws with different makers and are refused.",
    advice="Write the word: linear, log or reverse log.", was="R114")
INP_115 = Code(
    "INP-115", Severity.ERROR, "A word or value in the short text of a part's values is nothing this part has",
    was="R115")
INP_116 = Code(
    "INP-116", Severity.ERROR, "A table of points for the law of a pot cannot be used",
    text="It has fewer than two points, a turn outside 0 to 10, a fraction outside 0 to 1, turns that do not rise, a "
         "fraction that falls, an open wiper before the last point, or no point at 0 or 10; or it stands where no law "
         "is expected.", was="R116")
INP_301 = Code("INP-301", Severity.ERROR, "There is no part of this name", was="R301")
INP_302 = Code(
    "INP-302", Severity.ERROR, "The part has no lug of this name, or the group gives none",
    text="Lugs are named by what they do (zero, wiper, ten), not by turning sense.", was="R302")
INP_303 = Code("INP-303", Severity.ERROR, "There is no symbol of this name, or its file has faults", was="R303")
INP_304 = Code("INP-304", Severity.ERROR, "The symbol has no dimension of this name", was="R304")
INP_305 = Code("INP-305", Severity.ERROR, "The symbol has no value of this name", was="R305")
INP_306 = Code(
    "INP-306", Severity.ERROR, "A cavity or channel that is named does not exist, or a part with a place does not say "
    "in which cavity", was="R306")
INP_307 = Code(
    "INP-307", Severity.ERROR, "A cavity is given both under `cavity` and under `cavities`",
    advice="Put all cavities under 'cavities'.", was="R307")
INP_308 = Code("INP-308", Severity.ERROR, "A channel does not lead from, or to, a cavity that exists", was="R308")
INP_309 = Code(
    "INP-309", Severity.ERROR, "A channel leads from a cavity to itself",
    advice="Name another cavity, or leave 'to' out for the outside.", was="R309")
INP_310 = Code(
    "INP-310", Severity.ERROR, "There is no group of this name, neither in the build nor among the ready ones",
    was="R310")
INP_311 = Code(
    "INP-311", Severity.ERROR, "A lead inside a group names an end or a part that the group has not",
    text="The place is the line that places the group; the group's own line is named in the message.", was="R311")
INP_312 = Code("INP-312", Severity.ERROR, "Two things would have one name", was="R312")
INP_313 = Code(
    "INP-313", Severity.ERROR, "An end of a group is left open where it is placed, or one is named that it has not",
    was="R313")
INP_314 = Code("INP-314", Severity.ERROR, "A value is given for a part the group has not", was="R314")
INP_315 = Code(
    "INP-315", Severity.ERROR, "A part is both outside, with its leads through a channel, and inside a cavity",
    was="R315")
INP_316 = Code(
    "INP-316", Severity.ERROR, "A measure is absurd beside the typical one (six times as much or as little)",
    advice="Measure again; the unit is mm.", was="R316")
INP_317 = Code(
    "INP-317", Severity.ERROR, "A colour is given for a lug that is no conductor of the part's own cable", was="R317")
INP_318 = Code(
    "INP-318", Severity.WARNING, "Two conductors of one part have the same colour",
    advice="They cannot be told apart at the bench; check the cable, or flag them.", was="R318")
INP_319 = Code(
    "INP-319", Severity.ERROR, "A part that has no legs is said to hang between two lugs, or one of the two is no lug",
    was="R319")
INP_320 = Code("INP-320", Severity.ERROR, "Both legs of a component are on one lug, or it hangs on itself", was="R320")
INP_321 = Code(
    "INP-321", Severity.ERROR, "A lead goes from a lug to itself, or neither of its ends is a lug", was="R321")
INP_322 = Code(
    "INP-322", Severity.ERROR, "A lead is given another colour than the conductor it is",
    advice="A conductor keeps its colour: correct one of the two.", was="R322")
INP_323 = Code(
    "INP-323", Severity.ERROR, "The kind of a lead does not fit its ends: a bend to another part, a leg without a "
    "component", was="R323")
INP_324 = Code(
    "INP-324", Severity.ERROR, "Two remarks of a lead exclude each other: a bare wire with a colour, a shield without "
    "a shielded lead, a gauge where no wire is cut", was="R324")
INP_325 = Code("INP-325", Severity.ERROR, "There is no cable of this name", was="R325")
INP_326 = Code(
    "INP-326", Severity.ERROR, "Two leads have the same tag",
    advice="Every lead has a tag of its own.", was="R326")
INP_327 = Code("INP-327", Severity.ERROR, "A lead names the tag of a lead that does not exist, or its own", was="R327")
INP_328 = Code(
    "INP-328", Severity.ERROR, "Two lugs are joined by two leads",
    text="It is an error where both have one colour, or one of them none.",
    also=((Severity.WARNING, "where the two leads have different colours"),),
    was="R328")
INP_329 = Code(
    "INP-329", Severity.WARNING, "More wires go to a lug than it has room for",
    advice="Move one to another lug of the same net.", was="R329")
INP_330 = Code(
    "INP-330", Severity.WARNING, "A component hangs by its legs, but not both of them are joined",
    advice="Say where it hangs: between: [volume.ten, volume.wiper].", was="R330")
INP_331 = Code(
    "INP-331", Severity.WARNING, "No lead touches a part",
    advice="Add its leads, or delete it.", was="R331")
INP_332 = Code("INP-332", Severity.ERROR, "A part is mounted on itself, or on something that has no metal", was="R332")
INP_333 = Code(
    "INP-333", Severity.ERROR, "A wanted state wants nothing",
    advice="Add sounds, phase or hum.", was="R333")
INP_334 = Code(
    "INP-334", Severity.ERROR, "A control that is named does not exist, or the part has several and it is not said "
    "which", was="R334")
INP_335 = Code("INP-335", Severity.ERROR, "The control has no position of this name", was="R335")
INP_336 = Code(
    "INP-336", Severity.ERROR, "There is no coil of this name, or the part has several and it is not said which",
    was="R336")
INP_337 = Code(
    "INP-337", Severity.ERROR, "A control moves together with two sets of others",
    advice="Put all of them in one.", was="R337")
INP_341 = Code(
    "INP-341", Severity.ERROR, "A file of changes is not made as one",
    text="It holds `parts`, `leads` or `lugs` of its own, which belong under `take out` and `put in`; or it says what "
         "to take out or put in without saying what it changes.", was="R341")
INP_342 = Code(
    "INP-342", Severity.ERROR, "The build a file of changes begins from has errors of its own, or is a file of "
    "changes itself", was="R342")
INP_343 = Code(
    "INP-343", Severity.ERROR, "A part that is to be taken out is not in the build that is changed, or is inside a "
    "group", was="R343")
INP_344 = Code(
    "INP-344", Severity.ERROR, "A lead that is to be taken out is not in the build that is changed, or several are "
    "meant", was="R344")
INP_345 = Code(
    "INP-345", Severity.ERROR, "The file named under `as found` has errors of its own, or is the build itself",
    was="R345")
INP_346 = Code(
    "INP-346", Severity.ERROR, "The name of a part, lug, position, cavity, channel or cable holds characters that the "
    "shipped letters do not have, or that run from right to left",
    text="On paper it would be a row of empty boxes, and a joint could not be found by it.",
    advice="Give a name in Latin, Greek or Cyrillic letters under `says`.", was="R346")
INP_347 = Code(
    "INP-347", Severity.WARNING, "A title, name in the title line, note or remark holds characters that the shipped "
    "letters do not have, or that run from right to left",
    advice="The sheets are printed all the same; write what is missing by hand.", was="R347")
INP_348 = Code(
    "INP-348", Severity.WARNING, "A value is possible but far from what instruments have",
    text="Such are a pot of 500 Ω, a coil of 6.5 Ω, a tone capacitor of 22 µF. Mostly a letter is missing (500k, "
         "6.5k, 22n).",
    advice="Where the part on the bench is so, leave it.", was="R348")
INP_350 = Code(
    "INP-350", Severity.ERROR, "A part says under `metered` that it, or a value of it, was metered, but gives no such "
    "value", was="R350")
REC_501 = Code(
    "REC-501", Severity.ERROR, "A results file holds no keys",
    advice="Write an empty one to fill in with: diagramgen readings BUILD --out FILE.", was="J501")
REC_512 = Code(
    "REC-512", Severity.WARNING, "More than twelve photographs are named for the record",
    advice="Choose the ones that tell most.", was="J512")
REC_513 = Code(
    "REC-513", Severity.WARNING, "A photograph is left out",
    text="It is no JPEG or PNG, it is broken, or it claims to be larger than a camera makes them.", was="J513")
