"""All that pages say, in one table: a translation is this file."""

WORDS = {
    # every page
    "page.revision": "revision {revision}",
    "page.made": "boardgen {program}, board {identity}",
    "page.name": "Name",
    "page.day": "Date",
    "page.tick": "done",
    "page.between": "{low} to {high}",
    "page.to_measure": "measured",
    # test sheet
    "sheet.title": "Test sheet: {title}",
    "sheet.lead": "Measure in this order and write down what the meter shows. A value between the"
    " two limits is right; the limits hold for sound parts, from the coldest to the warmest air"
    " that this board was sized for, and for a meter that is off by 2 %.",
    "sheet.number": "Board number",
    "sheet.before": "Before any supply",
    "sheet.before_look": "Look at every joint with a loupe: solder on both ends of each part, no"
    " bridge, no ball, no part standing up.",
    "sheet.before_marks": "Hold the board beside the placement picture: the mark of every LED lies"
    " where the black spot is drawn.",
    "sheet.before_short": "Ohms between + and − at {connector}, nothing connected: the meter must"
    " not show a short. A few ohms or a beep that stays is a bridge: do not connect the supply.",
    "sheet.before_switch": "Do it with {switch} at “on”: off, nothing behind it is measured.",
    "sheet.power": "First power",
    "sheet.power_set": "Set the tester's supply to {volts} and its current limit to {limit}, or put"
    " the usual supply ({name}) behind a fuse.",
    "sheet.power_cells": "Or put in fresh cells: {cells} of {name}.",
    "sheet.power_off": "Connect + and −, switch on, and do not stare into the LEDs. If nothing"
    " lights, if something gets hot or smells, switch off and read “You see … look at …”.",
    "sheet.supply": "Volts at {connector}, + to −",
    "sheet.current": "Current of the whole board",
    "sheet.branches": "Volts in every branch",
    "sheet.branches_lead": "The black lead stays at −. Volts across a resistor tell the current of"
    " its branch without cutting anything: volts divided by ohms.",
    "sheet.branches_several": "Volts across the {count} resistors of a branch are taken together,"
    " from the first one's outer end to the last one's.",
    "sheet.branch": "Branch",
    "sheet.ballast": "across {what}",
    "sheet.resistors": "its resistor",
    "sheet.resistors_several": "its {count} resistors",
    "sheet.led": "across each LED",
    "sheet.limits": "between",
    "sheet.ohms": "Ohms of the resistors, the supply unplugged",
    "sheet.ohms_lead": "Only where volts were outside: the current's way through LEDs does not"
    " count at the meter's small voltage.",
    "sheet.together": "the {count} of a branch together",
    "sheet.faults": "You see … look at …",
    "sheet.see": "you see",
    "sheet.look": "look at",
    "sheet.dark_all": "nothing lights",
    "sheet.dark_all_supply": "Volts at {connector}: none, the supply or its wires; minus sign, the"
    " wires are exchanged.",
    "sheet.dark_all_cell": "Each cell by itself: one dead or turned cell stops all.",
    "sheet.dark_all_switch": "{switch}: volts behind it? Its lever stands at “on” or not, its"
    " joints.",
    "sheet.dark_all_guards": "{guards}: volts before and none behind it is a dry joint, or a diode"
    " the wrong way round.",
    "sheet.dark_all_limit": "The current limit at work: a bridge from + to −, most often at"
    " {connector} or beside a rail.",
    "sheet.dark_branch": "one branch is dark, the others light",
    "sheet.dark_branch_open": "0 V across its resistor: no current. Measure across each of its LEDs."
    " The one that shows far more than its limit, up to the {volts} of the supply, is turned or has"
    " a dry joint; the others show less than their limits.",
    "sheet.dark_branch_joint": "No LED shows it: a dry joint at the resistor, or before it.",
    "sheet.dark_led": "one LED is dark, the others of its branch light",
    "sheet.dark_led_short": "0 V across it: a bridge of solder from end to end, or a broken LED. The"
    " resistor of its branch shows more than its limit.",
    "sheet.dim_branch": "one branch is dimmer or brighter than the others",
    "sheet.dim_branch_value": "Its resistor may have a wrong value: unplug the supply and measure its ohms:"
    " see above.",
    "sheet.dim_all": "all are dim",
    "sheet.dim_all_supply": "The supply's volts while the board lights: they sink when cells are"
    " empty or wires are thin.",
    "sheet.branch_list": "branch {number}: {ballasts}, then {leds}",
    "sheet.built": "Keep what you measured",
    "sheet.built_lead": "Written into the parameter file, boardgen check judges it branch by"
    " branch:",
    # guide
    "guide.title": "Building {title}",
    "guide.lead": "One card is one step. Each ends with something that you can see; only then go on.",
    "guide.time": "For a first board take two hours; read all cards before you heat the iron.",
    "guide.tools": "On the bench",
    "guide.tools_list": "paste in a syringe with a thin needle, or a stencil|fine tweezers that are"
    " not magnetic|hot air, or an iron with a fine tip and thin solder|a loupe|a meter|a heat-proof"
    " mat, fume extraction or an open window, eye protection",
    "guide.count": "Count the parts",
    "guide.count_lead": "Lay each kind in a lid of its own and tick it. LEDs look alike unlit: never"
    " mix two bags.",
    "guide.count_part": "part",
    "guide.count_pieces": "pieces",
    "guide.count_names": "on the board",
    "guide.count_printed": "printed on it",
    "guide.count_true": "true size",
    "guide.count_end": "Every kind is ticked, nothing is left over.",
    "guide.bare": "Look at the bare board",
    "guide.bare_do": "Hold it as in the picture and compare: outline, holes, names of parts. Measure"
    " length and width: {length} and {width}. With the meter at ohms, + and − at {connector} show"
    " no connection.",
    "guide.bare_end": "It is the right board, whole, and + and − are apart.",
    "guide.led": "Find an LED's marked end, and test one LED",
    "guide.led_mark": "This LED shows its mark ({mark}) at its {pole}. On the picture the black spot"
    " is that mark.",
    "guide.led_land": "On this board the marked end goes onto the land beside the letter {letter}.",
    "guide.led_ways_one": "Every mark points {way}, seen from the top with the board as drawn.",
    "guide.led_ways_many": "Marks do not all point one way. Seen from the top with the board as"
    " drawn:",
    "guide.led_way": "{names}: {way}",
    "guide.led_test": "Touch one LED with the tester: three AA cells and a resistor of 1 kohm in"
    " series, + to the anode. It must light; turned round it stays dark. A meter's diode range often"
    " gives less than the {volts} that this LED needs, and then good LEDs look dead.",
    "guide.led_end": "You have seen one LED light, and you know its marked end.",
    "guide.paste": "Put paste on the lands",
    "guide.paste_do": "A dot in the middle of each grey land of the chips, as large as a third to"
    " half of the land and no higher than a coin's edge. About {volume} in all.",
    "guide.paste_own": "Let paste from the fridge come to room temperature in its closed syringe for"
    " some hours; its data sheet has its hours and its profile.",
    "guide.paste_end": "Each land has its dot, no two dots touch.",
    "guide.place": "Place {references}: {value}",
    "guide.place_do": "{count} pieces, black in the picture. Set each with tweezers, middle over"
    " middle, and press lightly at its body.",
    "guide.place_do_one": "One piece, black in the picture. Set it with tweezers, middle over"
    " middle, and press lightly at its body.",
    "guide.place_code": "Read the print first: {printed}.",
    "guide.place_plain": "It may lie either way round.",
    "guide.place_check": "Let a partner compare every mark with the picture before anything gets"
    " hot: a turned LED keeps its whole branch dark.",
    "guide.place_end": "All {count} lie straight on their lands.",
    "guide.place_end_one": "It lies straight on its lands.",
    "guide.way_one": "Its mark points {way}, seen from the top with the board as drawn.",
    "guide.check_one": "Let a partner compare its mark with the picture before anything gets hot:"
    " turned round it keeps the whole board dark.",
    "guide.place_soft": "Hold LEDs at their sides, never on the lens: it is soft.",
    "guide.heat": "Melt the paste",
    "guide.heat_air": "Hot air: warm the whole board for one to one and a half minutes, then go to"
    " one end, nozzle upright, 10 to 20 mm away, little air, in small circles. When paste turns"
    " bright and the part slips into place, go on after three seconds.",
    "guide.heat_iron": "With an iron instead: tin one land, hold the part with tweezers, melt, let"
    " go; then the other end. Two to three seconds a joint, LEDs once only.",
    "guide.heat_limits": "The paste's own data sheet decides. Usual figures, from memory and tables:"
    " lead-free SnAgCu melts at 217 to 221 °C and wants 240 to 250 °C at its peak; tin-bismuth melts"
    " at 138 °C and wants 160 to 170 °C; many LEDs bear 260 °C for 10 s, twice at most. Never mix"
    " bismuth with lead.",
    "guide.heat_end": "Every joint is bright and drawn up at the ends; the board has cooled.",
    "guide.look": "Look at the joints",
    "guide.look_do": "With a loupe, every joint. Compare:",
    "guide.joint_good": "good: solder has drawn up both ends",
    "guide.joint_little": "too little: one end is dry",
    "guide.joint_much": "too much: a ball hides the end",
    "guide.joint_bridge": "a bridge between two lands",
    "guide.joint_stands": "one end stands up",
    "guide.joint_skew": "skewed: more than half beside its land",
    "guide.look_end": "No joint is of the wrong kind, or it has been mended.",
    "guide.leaded": "Solder {references}: {value}",
    "guide.leaded_do": "Push the leads through from the side of the picture, down to the board; tack"
    " one lead, look that it stands straight, then solder all from the other side with the iron.",
    "guide.leaded_side": "The wires go in from the edge of the board, not towards the LEDs.",
    "guide.leaded_end": "It stands straight, each lead has a cone of solder.",
    "guide.meter": "Measure before power",
    "guide.meter_do": "Ohms between + and − at {connector}. No short; then continue with the test"
    " sheet.",
    "guide.meter_end": "No short.",
    "guide.power": "First power",
    "guide.power_do": "Supply at {volts}, current limit at {limit}. + to +, − to −. All LEDs"
    " light.",
    "guide.power_measure": "Measure across {ballast}: {low} to {high}. Write the rest on the test"
    " sheet.",
    "guide.power_dark": "A branch stays dark? First the volts across its resistor, then across each"
    " of its LEDs, then the joints: the test sheet says what each reading means.",
    "guide.power_end": "Everything lights, and the first reading is right.",
    "guide.after": "Afterwards",
    "guide.after_do": "Clean the bench, wash your hands, take used paste and cells to where your"
    " place collects them, and write your name on the board.",
    "guide.ends": "Done when:",
    "guide.whole": "the whole board",
    "guide.near": "enlarged",
    # lesson
    "lesson.title": "Worksheet: {title}",
    "lesson.answers_title": "Answers: {title}",
    "lesson.circuit": "The circuit",
    "lesson.sums": "Sums",
    "lesson.given": "Given: a branch with {leds} LEDs in series at {supply}. Each LED takes {vf}"
    " when {current} flow, and that is the current wanted.",
    "lesson.given_one": "Given: a branch with one LED at {supply}. The LED takes {vf} when {current}"
    " flow, and that is the current wanted.",
    "lesson.q_left": "How many volts are left for the resistor?",
    "lesson.a_left": "{supply} − {leds} × {vf} = {left}",
    "lesson.q_ohm": "Which resistance lets the wanted current flow?",
    "lesson.a_ohm": "R = U / I = {left} / {current} = {ohm}",
    "lesson.q_value": "The board has {count} × {value} ({series}) in each branch. How many ohms is"
    " that in all, and will more or less current flow than was wanted?",
    "lesson.a_value_less": "{whole}: more than {ohm}, so less flows.",
    "lesson.a_value_more": "{whole}: less than {ohm}, so more flows.",
    "lesson.q_current": "With these resistors the LEDs of a branch take {nominal} together. Which"
    " current flows?",
    "lesson.a_current": "I = ({supply} − {nominal}) / {whole} = {amps}",
    "lesson.q_heat": "How much heat does each resistor give off? Is that less than the {rating} that"
    " it bears?",
    "lesson.a_heat": "P = I² × R = ({amps})² × {value} = {each}; yes, it bears {rating}.",
    "lesson.q_board": "The board has {branches} such branches. What do they draw together?",
    "lesson.a_board": "{branches} × {amps} = {board}",
    "lesson.q_hours": "The cells give {charge} until the light ends, and the board draws {mean} on"
    " average. How long does it shine?",
    "lesson.a_hours": "{charge} / {mean} = {hours}",
    "lesson.fault": "Find the fault",
    "lesson.fault_lead": "This was read on a board that was soldered with a fault, at {supply} on the"
    " rail, with a meter of 10 Mohm. The board is calculated, not measured.",
    "lesson.across_ballast": "across the resistors",
    "lesson.across_led": "across each LED",
    "lesson.across_nth": "across LED {place}",
    "lesson.board_draws": "The whole board draws {current}.",
    "lesson.fault_questions": "Which branches are as they should be?|Which LEDs stay dark, or shine"
    " otherwise than the others?|Which part is it, and what is wrong with it? How do the readings"
    " tell?|Which single measurement would you do next, and what should it show?",
    "lesson.fault_is": "{reference}, in branch {branch}:",
    "lesson.is_led_turned": "it is turned round.",
    "lesson.is_led_open": "it has a dry joint, or is broken.",
    "lesson.is_led_bridged": "solder bridges it from end to end.",
    "lesson.is_resistor_open": "it has a dry joint.",
    "lesson.is_resistor_bridged": "solder bridges it from end to end.",
    "lesson.is_resistor_value": "it has {told} instead of {right}.",
    "lesson.is_resistor_turned": "a resistor may lie either way round.",
    "lesson.shows_led_turned": "No current flows in its branch, so its resistors show 0 V; the meter"
    " across {reference} closes the branch with next to no current and shows what the others leave."
    " A dry joint there would read the same: its mark, or a loupe, tells which it is.",
    "lesson.shows_led_open": "No current flows in its branch, so its resistors show 0 V; the meter"
    " across {reference} closes the branch with next to no current and shows what the others leave."
    " A turned LED would read the same: its mark, or a loupe, tells which it is.",
    "lesson.shows_led_bridged": "It shows 0 V and stays dark; the others of its branch are brighter,"
    " for its volts are now across the resistors.",
    "lesson.shows_resistor_open": "No current flows in its branch; the LEDs show 0 V, the resistors"
    " nearly all that the meter lets through.",
    "lesson.shows_resistor_bridged": "The branch shines brighter than the others, and its resistors"
    " show too little for that.",
    "lesson.shows_resistor_value": "The branch shines otherwise than the others although its volts are"
    " not far from theirs: the ohms of {reference}, the supply unplugged, tell.",
    "lesson.dark": "Dark: {names}.",
    "lesson.bears": "A turned LED bears {bears}, and the rail has {rail}: it may be broken, take a new"
    " one.",
    "lesson.sound": "The sound board",
    "lesson.sound_values": "It draws {board}.",
    # kit
    "kit.title": "Kit: {title}, {sets} sets",
    "kit.buy": "To buy",
    "kit.buy_lead": "For {sets} sets of {boards}, spares included: a tenth more of what gets lost, two"
    " at least.",
    "kit.shop": "in a shop's words",
    "kit.per_set": "per set",
    "kit.needed": "needed",
    "kit.spares": "spares",
    "kit.in_all": "buy",
    "kit.tape": "tape",
    "kit.board": "bare board {name}, from its fabrication zip",
    "kit.screw": "screw {thread} with nut, as long as your enclosure asks",
    "kit.cells": "cell, {name}",
    "kit.holder": "holder for {cells} cells with two wires",
    "kit.battery": "battery, {name}, with a fuse at its terminal",
    "kit.supply": "{name}: bought and tested, safety extra-low voltage, isolated from the mains",
    "kit.wire": "two-core wire, red and black, as long as the place asks",
    "kit.paste": "Solder paste: about {grams}, twice what the dots hold; or thin solder for the iron.",
    "kit.labels": "Labels for bags",
    "kit.labels_lead": "One bag a kind and set; read what is printed on a part before it goes in.",
    "kit.label_count": "{count} ×, and spares apart",
    "kit.label_read": "printed on it: {marking}",
    "kit.repairs": "Repairs to expect",
    "kit.repairs_say": "A set has {joints} joints. If one joint in two hundred is bad, {share} of the"
    " sets light at once: plan for about {repairs} repairs in {sets}.",
    "kit.log": "Log",
    "kit.log_number": "board",
    "kit.log_first": "lights at once",
    "kit.log_found": "what was found",
    "kit.log_amps": "current",
    # publish
    "publish.lead": "LED light board, revision {revision}. Made from one parameter file; everything"
    " here can be made anew from it, byte for byte.",
    "publish.link_zip": "fabrication files, to upload as they are",
    "publish.link_order": "what an order form asks",
    "publish.link_bom": "parts to buy",
    "publish.link_guide": "assembly guide",
    "publish.link_sheet": "test sheet",
    "publish.link_diagram": "circuit diagram",
    "publish.link_report": "report: sums, checks, proof",
    "publish.again": "Make it anew",
    "publish.again_lead": "With boardgen {program} and the libraries of the same versions; the command"
    " says “identical”, or what differs.",
    "publish.status": "Status",
    "publish.built": "One was built and measured; the report holds what the meter showed.",
    "publish.not_built": "No board has been built of these files yet.",
    "publish.licences": "Licences",
    "publish.see_licences": "LICENCES.md says what is under which licence.",
    "publish.safety": "Safety",
    "publish.not_for": "Not for the mains, road vehicles, medical, emergency or life-safety use, nor as"
    " a toy for small children. Whoever sells boards has to assess what the law asks of them.",
    "publish.changes": "Changes",
    "publish.first": "first published",
    "publish.licences_lead": "By their SPDX names. Put the full text of each beside this file, as its"
    " authors publish it.",
    "publish.licence_hardware": "board and fabrication files",
    "publish.licence_software": "parameter file and scripts",
    "publish.licence_documents": "papers and pictures",
    "publish.none_chosen": "none chosen: nobody may copy it",
    "publish.checklist": "Checklist",
    "publish.checklist_lead": "What makers who publish hardware are usually asked for; open points are"
    " in bold.",
    "publish.ask_source": "the source in the form in which one would change it: the parameter file",
    "publish.ask_packages": "files to order from",
    "publish.ask_pictures": "pictures of the board",
    "publish.ask_parts": "a list of parts",
    "publish.ask_guide": "how to build and test it",
    "publish.ask_again": "how to make all files anew",
    "publish.ask_safety": "cautions where they bite",
    "publish.ask_licence": "a licence each for hardware, software and documents that lets people use,"
    " change and sell",
    "publish.gap_licence": "choose them in board.licence; licences that forbid selling or changing are"
    " not open",
    "publish.ask_licence_text": "the licences' full texts",
    "publish.gap_licence_text": "add them as files",
    "publish.ask_author": "who answers for it",
    "publish.gap_author": "write board.author",
    "publish.ask_date": "its date",
    "publish.gap_date": "write board.date",
    "publish.ask_built": "whether one was built",
    "publish.gap_built": "build one, measure it, and write [built]",
    "publish.ask_photo": "a photograph, and where to report faults",
    "publish.gap_photo": "add both to README.md",
    # report
    "report.title": "{title}: report",
    "report.made": "The board can be made: {verdict}.",
    "report.not_made": "The board cannot be made yet: {verdict}.",
    "report.short": "In short",
    "report.board": "The board",
    "report.board_lead": "Tick what you want to see; the sizes beside it enlarge the picture.",
    "report.layer_copper-top": "copper, top",
    "report.layer_copper-bottom": "copper, bottom",
    "report.layer_mask-top": "openings, top",
    "report.layer_mask-bottom": "openings, bottom",
    "report.layer_legend-top": "print, top",
    "report.layer_legend-bottom": "print, bottom",
    "report.layer_paste-top": "paste, top",
    "report.layer_paste-bottom": "paste, bottom",
    "report.layer_parts": "parts",
    "report.layer_holes": "holes",
    "report.zoom": "size",
    "report.from_top": "All layers are seen from the top, through the board.",
    "report.looks": "As it will look",
    "report.looks_top": "top",
    "report.looks_bottom": "bottom, as seen from below",
    "report.circuit": "Circuit",
    "report.sums": "The sums, step by step",
    "report.sums_lead": "Each can be done again with a pocket calculator.",
    "report.quantity": "quantity",
    "report.follows": "how it follows",
    "report.numbers": "with numbers",
    "report.result": "result",
    "report.limit": "limit",
    "report.source": "from",
    "report.corners": "From the weakest to the strongest corner",
    "report.corner": "branches of … LEDs, corner",
    "report.rail": "at the rail",
    "report.leds": "across its LEDs",
    "report.current": "current",
    "report.ballast_heat": "heat of its resistors",
    "report.led_heat": "heat of an LED",
    "report.junction": "inside the LED",
    "report.loads": "How much of what it bears each part carries at worst",
    "report.part": "part",
    "report.load": "carries",
    "report.allowed": "may carry",
    "report.findings": "What the rules found",
    "report.findings_none": "Nothing.",
    "report.code": "rule",
    "report.message": "what",
    "report.way_out": "what mends it",
    "report.waived": "accepted: {reason}",
    "report.minima": "Smallest measures",
    "report.measure": "measure",
    "report.value": "here",
    "report.where": "at",
    "report.unchecked": "What was not checked",
    "report.unchecked_lead": "Nobody has looked at these; before you sell or install boards, somebody"
    " qualified should.",
    "report.unchecked_list": "how warm the board gets inside an enclosure|electromagnetic"
    " compatibility|the light's group by IEC 62471 and its harm to eyes|the bin and colour of your"
    " LEDs|product law of your place|the parts that you really bought, against the data here",
    "report.not_applicable": "Rules that have nothing to look at here",
    "report.proof": "Proof, file by file",
    "report.proof_lead": "After writing, all files were read back by code that shares nothing with"
    " what wrote them, and compared with the design.",
    "report.proof_none": "No fabrication data was written, so there is nothing to prove.",
    "report.compared": "objects",
    "report.equal": "equal",
    "report.differs": "differs",
    "report.files": "Files and their digests (SHA-256)",
    "report.parts": "Parts",
    "report.order": "For the order form",
    "report.asked": "asked",
    "report.answer": "answer",
    "report.from": "read from",
    "report.cautions": "Cautions",
    "report.parameters": "Parameters, each with its origin",
    "report.parameters_lead": "A file of these lines makes the same board.",
}
