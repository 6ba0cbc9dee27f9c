"""Problem codes of chosen places, of whether everything fits, and of routes."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

CHOSEN_PLACES = Range("FIT-2", "places the program chose", 60, was="P2")
FIT = Range(
    "FIT-3", "whether everything fits", 70, was="P3",
    intro="All figures are millimetres. An error is wood or metal in the way; where the program itself chose a place "
          "the same finding is a warning, since the real place is not known. What was not measured is not judged.")
ROUTES = Range("RTE-1", "how leads are laid", 80, was="W1")

FIT_201 = Code(
    "FIT-201", Severity.NOTE, "A part in a cavity has no place in the file, so the program chose one, and how the "
    "part is turned",
    text='All such parts are placed together: clear of one another, of measured parts, posts, mouths and the wall, '
         'with room for the iron before each lug and a way for the leads. It is a proposal, no measure: every sheet '
         'is stamped PLACES NOT MEASURED (with the names, where some places were measured), no sheet that shows it is '
         'headed full size, the template drills no hole for it. What is said after "at" may be written into the file '
         'as it stands.',
    advice="Measure it and write it as 'at': the lengths of its leads rest on this place.", was="P201")
FIT_202 = Code(
    "FIT-202", Severity.WARNING, "Not all parts without a place find one in their cavity",
    text="Places are tried on a grid, at quarter turns, with at least 1.3 mm between bodies and 3 mm before lugs. It "
         "is said how many millimetres are missing in width or height, in what size places were found, and beside "
         "which parts. The parts of that cavity stand in rows on the sheets, so that nothing is drawn over anything.",
    advice="Measure the holes that are there and write each as 'at', take smaller parts, or mount some elsewhere. "
           "Until then the drawing is NOT TO SCALE.", was="P202")
FIT_203 = Code(
    "FIT-203", Severity.WARNING, "Nothing says where the leads of a part outside come in",
    text="They are drawn through the nearest wall, without a mouth, and have no length.",
    advice="Name the channel with 'through', or the cavity it is mounted in with 'in'.", was="P203")
FIT_204 = Code(
    "FIT-204", Severity.WARNING, "A part outside names a channel that leads to another cavity, not to the outside",
    advice="Name its own channel, or mount it in that cavity.", was="P204")
FIT_301 = Code(
    "FIT-301", Severity.ERROR, "Two parts stand on one spot (mounting points less than 0.5 mm apart)",
    text="Two controls on one shaft are one symbol (concentric, blend, push-pull).",
    advice="Give each its own place; a part that is two on one shaft is one symbol.",
    also=((Severity.WARNING, "where the program chose the place of one of the parts"),),
    was="P301")
FIT_302 = Code(
    "FIT-302", Severity.ERROR, "Two bodies overlap, in plan and in depth",
    text="The millimetres said are the least by which one must move. Bodies that lie at different depths do not clash.",
    advice="Move one of the two, turn it, or take a smaller part.",
    also=((Severity.WARNING, "where the program chose the place of one of the parts"),),
    was="P302")
FIT_303 = Code(
    "FIT-303", Severity.WARNING, "Two bodies are less than 1 mm apart",
    text="Both places were measured, each to half a millimetre at best.",
    advice="Measure both on the bench.", was="P303")
FIT_304 = Code(
    "FIT-304", Severity.ERROR, "A body or a lug reaches through the wall of the cavity, by the millimetres said",
    advice="Move it inwards, turn it, or take wood away there.",
    also=((Severity.WARNING, "where the program chose the place of one of the parts"),),
    was="P304")
FIT_305 = Code(
    "FIT-305", Severity.WARNING, "A body is less than 1 mm from the wall or from a post",
    advice="Measure on the bench.", was="P305")
FIT_306 = Code(
    "FIT-306", Severity.ERROR, "A body or lug stands where a post is left in the cavity",
    advice="Move the part, or check the post's place and diameter.",
    also=((Severity.WARNING, "where the program chose the place of one of the parts"),),
    was="P306")
FIT_307 = Code(
    "FIT-307", Severity.ERROR, "A lug lies inside the body of another part, at a depth that body fills",
    advice="Move one of the two, turn it, or take a smaller part.",
    also=((Severity.WARNING, "where the program chose the place of one of the parts"),),
    was="P307")
FIT_308 = Code(
    "FIT-308", Severity.ERROR, "Something stands in the space a part needs to move",
    text="That is the leaf of an open jack, the leaves of an upright toggle, or a plug.",
    advice="Turn or move one of the two.",
    also=((Severity.WARNING, "where the program chose the place of one of the parts"),),
    was="P308")
FIT_309 = Code(
    "FIT-309", Severity.NOTE, "The depth of a cavity is not given, so no depth was checked there",
    advice="Measure from the inside of the wood to the edge the cover lies on; write it as 'depth'.", was="P309")
FIT_310 = Code(
    "FIT-310", Severity.ERROR, "A part, or its plug or leaf, needs more depth than the cavity has",
    text="Counted is the depth of the cavity less what the cover takes away, before solder and leads.",
    advice="Take a shallower part, deepen the cavity, or mount it from a thinner place.", was="P310")
FIT_311 = Code(
    "FIT-311", Severity.WARNING, "Little room is left behind the deepest body or lug for solder and leads",
    text="A warning below 3 mm, a note below 5 mm (common practice, no source).",
    advice="Bend the deepest lugs over, keep leads off it, or put tape inside the cover.",
    also=((Severity.NOTE, "from 3 to 5 mm"),),
    was="P311")
FIT_312 = Code(
    "FIT-312", Severity.ERROR, "The thread does not pass wood, washers and nut",
    text="A part's own `wood above` counts before the cavity's.",
    advice="Take a longer thread, leave a washer out, or thin the wood round the hole from inside.", was="P312")
FIT_313 = Code(
    "FIT-313", Severity.NOTE, "More than 3 mm of thread stand above the nut of a control with a shaft: the knob "
    "stands off",
    advice="Put a nut or washers on the inside to take up the thread.", was="P313")
FIT_314 = Code(
    "FIT-314", Severity.ERROR, "A knob's bore is smaller than the shaft",
    text="6 mm against 6.35 mm (1/4 in) is the usual mix-up.",
    advice="Take a knob for this shaft; a bored-out knob loses its splines or set screw.", was="P314")
FIT_315 = Code(
    "FIT-315", Severity.WARNING, "A knob's bore is so much wider than the shaft that the knob wobbles",
    text="6.35 mm (1/4 in) on a shaft of 6 mm is the usual mix-up.",
    advice="Take a knob for this shaft, or a sleeve.", was="P315")
FIT_316 = Code(
    "FIT-316", Severity.ERROR, "The hole, as measured, is smaller than the bushing",
    advice="Ream the hole by hand from both sides, or take a part with a thinner bushing.", was="P316")
FIT_318 = Code(
    "FIT-318", Severity.ERROR, "A part does not go through the opening through which the harness is fished",
    text="The thinnest size of the part, lugs included, is held against the clear width.",
    advice="Take a smaller part.", was="P318")
FIT_319 = Code(
    "FIT-319", Severity.NOTE, "A part goes only edgewise through the opening through which the harness is fished",
    text="Its thinnest size passes the clear width, its second size does not; lugs are included.",
    advice="Try it with the real part before the harness is built.", was="P319")
FIT_320 = Code(
    "FIT-320", Severity.ERROR, "A channel does not pass what goes through it",
    text="Cables count once, by their jacket. One circle needs d ≤ D, two d1 + d2 ≤ D, three the circle round three "
         "that touch (exact); of more than three the largest three are judged so, and all of them may not fill more "
         "than 7/9 of the hole. Plug ends and sleeves are not known: try them.",
    advice="Drill it to the size that is said, or lead some of it another way.", was="P320")
FIT_321 = Code(
    "FIT-321", Severity.WARNING, "A channel is so full that what goes through it may not pull through",
    text="More than three circles always fit while their areas add up to half of the hole's (\"Packing Disks into "
         'Disks with Optimal Worst-Case Density", SoCG 2019). This is said between one half and 7/9.',
    advice="Drill it to the size that is said, or lead some of it another way.", was="P321")
FIT_330 = Code(
    "FIT-330", Severity.WARNING, "A lug that is not ground is less than 1.5 mm from the metal of another part",
    advice="Bend the lug away, or sleeve it.", was="P330")
FIT_331 = Code(
    "FIT-331", Severity.WARNING, "A lug that is not ground is less than 1.5 mm from the wall of a cavity in which "
    "there is foil or paint",
    advice="Bend the lug away, or put tape on the shield there.", was="P331")
RTE_101 = Code(
    "RTE-101", Severity.WARNING, "The router could not keep a clearance, or found no way that keeps everything asked "
    "of a lead",
    text="What it could not keep is named: a clearance, a way round, the lead's own lane in a gap that is too narrow "
         "for all, or any way at all (then the lead is drawn straight). The lead is never left out.",
    advice="Look at it on the sheet; move a part, or lead it past a place with 'via'.", was="W101")
RTE_102 = Code(
    "RTE-102", Severity.WARNING, "A lead is asked to lie along the wall and does not",
    text="More of it lies further than 7 mm from the wall than its ways there and back need, or it passes no cavity.",
    advice="Lead it past places beside the wall with `via`.", was="W102")
RTE_103 = Code(
    "RTE-103", Severity.WARNING, "A lead is not laid over or under the part it names",
    text="It does not pass the part's cavity, there is no room above (4 mm of free height) or beneath, or no way was "
         "found.",
    advice="Lead it there with 'via', or leave the remark out.", was="W103")
RTE_104 = Code(
    "RTE-104", Severity.WARNING, "A lead comes nearer than 5 mm to one it is to be apart from",
    text="The closest distance and the nearest lug are said.",
    advice="Lead one of them past another place with 'via', or through another channel.",
    also=((Severity.NOTE, "where the ends themselves are that near, in one channel or on neighbouring lugs"),),
    was="W104")
RTE_105 = Code(
    "RTE-105", Severity.WARNING, "Two twisted leads do not lie side by side",
    text="Their ends are far from each other, or one of them passes other cavities. They are drawn apart there. "
         "Beyond 15 mm at each end they should lie in one lane; leads that lie together for less than one turn (12 "
         "mm) are not twisted at all.",
    advice="Lead both past the same places with 'via', or leave 'twisted with' out.", was="W105")
RTE_106 = Code(
    "RTE-106", Severity.WARNING, "A lead does not pass within 0.5 mm of a place named with `via`",
    text="The place lies outside its cavities, too near a wall, or where a part stands. A place counts in the first "
         "cavity on the lead's way in which it is free floor.",
    advice="Give a place on free floor, in the coordinates of the cavity.", was="W106")
RTE_107 = Code(
    "RTE-107", Severity.WARNING, "Two remarks contradict each other: over and under one part, apart from and twisted "
    "with one lead",
    text="Neither is heeded.",
    advice="Keep one of the two.", was="W107")
RTE_108 = Code(
    "RTE-108", Severity.WARNING, "A lug bent over to its own case does not get there",
    text="The way from its root at the body to the nearest free rim of the case is longer than its metal, or the "
         "part's own body stands between.",
    advice="Use a short wire: write 'bare' in place of 'bend'.", was="W108")
RTE_110 = Code(
    "RTE-110", Severity.WARNING, "No channel joins the two places of a lead",
    text="It is drawn through the walls where it is short, and has no length.",
    advice="Give the channel it passes under 'channels', and name it with 'through' at parts outside.", was="W110")
RTE_111 = Code(
    "RTE-111", Severity.WARNING, "The channels a lead names do not follow one another",
    advice="Name the channels in the order the lead passes them, or leave 'via' out.", was="W111")
