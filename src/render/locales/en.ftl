# Everything that is said and is not a rule's own sentence. Other languages are one file each.

list-and = { $first } and { $last }
place-board = the whole board
list-or = { $first } or { $last }
list-range = { $first } to { $last }

slots = { $count ->
    [1] slot { $list }
   *[other] slots { $list }
}
channels-of-socket = { $count ->
    [1] channel { $list }
   *[other] channels { $list }
} of { $sockets }
channels = { $count ->
    [1] channel { $list }
   *[other] channels { $list }
}
sockets = { $count ->
    [1] socket { $list }
   *[other] sockets { $list }
}

undecided = It can't be told { $asks }: { $facts }.
missing-fact-of = { $fact } of { $part } is not known (read it off { $where })
missing-facts-of = { $facts } of { $part } { $count ->
    [1] is
   *[other] are
} not known
missing-facts = { $facts } { $count ->
    [1] is
   *[other] are
} not known
missing-placement = whether any placement works was not found out before the search reached its limit (ask about fewer different modules at once, or give the slots)
missing-fact = { $fact } is not known (read it off { $where })

verdict-fits = It fits.
verdict-fits_with_warnings = It fits, with warnings.
verdict-undecided = It can't be told yet whether it fits.
verdict-does_not_fit = It does not fit.
verdict-cut = The search for a placement was cut at its limit: ask about fewer different modules at once, or give the slots.
verdict-conflict = No placement meets all of these rules at once: { $rules }.
verdict-conflict-unproven = The search for the reason was cut: rules may be named that are not needed, and others may be lacking.
verdict-models-slots = It fits with each processor model, but in no slots that suit all of them: tell the model.
verdict-models = It depends on the processor model: { $works } will do, { $fails } will not.

largest = At most { $quantity } of { $part } will fit; you asked for { $asked }.
largest-none = No number of { $part } fits this board.
largest-beside = With the other lines as they are, at most { $quantity } of { $part } will fit; you asked for { $asked }.
largest-none-beside = With the other lines as they are, no number of { $part } fits.

fix-rearrange = Seat the modules like this instead: { $seats }.
fix-seat = { $part } in { $slots }
fix-move = Move the module from slot { $from } to slot { $to }.
fix-swap = Exchange the modules of slots { $one } and { $other }.
fix-remove = Take the module out of slot { $slot }.
fix-set-quantity = Order { $quantity } of { $part } instead of { $asked }.
fix-choose-other = Choose another module instead of { $part }: { $needs }.
fix-need = { $fact } should be { $value }
fix-set-protection-none = Ask for no protection.
fix-set-protection = Ask for { $protection } protection.
fix-set-voltage-fastest = Set the voltage with the highest rate.
fix-set-voltage-lowest = Set the lowest common voltage.
fix-update-firmware = Update the board's firmware to { $version } or newer.
fix-choose-processor = Fit the processor model { $model } instead.
fix-fit-processor = Fit a processor into socket { $socket }, or move its modules.
fix-order-fillers = { $count ->
    [1] Order one filler.
   *[other] Order { $count } fillers.
}
fix-tell = Tell { $fact } of { $part }: read it off { $where }.
fix-tell-general = Tell { $fact }: read it off { $where }.
fix-wish-capacity-at-least = Ask for at least { $value } of usable memory.
fix-wish-capacity-at-most = Allow up to { $value } of usable memory.
fix-wish-rate = Ask for at least { $value }.
fix-wish-free-slots = { $value ->
    [0] Ask for no free slot.
    [1] Ask for one free slot.
   *[other] Ask for { $value } free slots.
}
fix-wish-budget = Raise the budget to { $value }.
fix-wish-power = Allow { $value } of peak power.
fix-wish-balance-none = Drop the wish for balance.
fix-wish-balance-sockets = Ask for balance between sockets only.
fix-wish-balance-channels = Ask for balance between channels.
fix-wish-chip-correction = Drop the wish for correction of a failed device.
fix-wish-rank-interleave = Drop the wish that ranks interleave.

caution-title = Before you open the server
caution-power = Shut it down, disconnect every supply and wait as the maker says: parts inside stay live and hot.
caution-static = Wear a grounded wrist strap and hold modules by their edges.
caution-hands = Edges are sharp and the machine is heavy: lift it with help.
caution-force = A module whose notch does not meet the key does not belong there: never force it.
caution-guide = The maker's service guide and local codes come first; leave the work to qualified staff.

# Explanations.
explain-fact = { $fact } { $value }
explain-facts = { $part }: { $facts }.
explain-again = { $sentence } (see above)
explain-cut = There is more; it was cut to keep this readable.
not-known = not known
working-least = the lowest of { $terms } is { $result }
working-greatest = the highest of { $terms } is { $result }
working-at-most = { $sum } of { $bound }
working-at-least = { $sum }, needed { $bound }
working-one-of = { $sum }, supported { $bound }
explain-holds = { $slot_count ->
    [1] { $slots } holds { $part }.
   *[other] { $slots } hold { $part }.
}
explain-holds-all = All slots of { $channels } hold { $part }.
explain-empty = { $slot_count ->
    [1] { $slots } is empty.
   *[other] { $slots } are empty.
}
explain-amount = { $count } of { $part } are to go in.
explain-amount-installed = { $installed } of { $part } are installed.
explain-amount-beside = { $count } of { $part } are to go in beside { $installed } installed.
explain-fitted = { $sockets } has a processor.
explain-fitted-assumed = { $sockets }: a processor is assumed, since none was told.
explain-processor = { $sockets } has the processor { $processor }.
explain-processor-tried = { $sockets }: tried with { $processor }, no model told.
explain-socket-empty = { $sockets } has no processor.
explain-firmware = The firmware is { $version }.
explain-model-slots = With each processor model it fits, but in no slots that suit all of them.
explain-model-fits = With the processor { $processor } it fits.
explain-model-fits_with_warnings = With the processor { $processor } it fits, with warnings.
explain-model-undecided = With the processor { $processor } it can't be told yet.
explain-model-does_not_fit = With the processor { $processor } it does not fit.
explain-mend = The smallest change that mends it, as tried:
explain-mend-perhaps = What may mend it, not tried:
explain-mend-none = No change that was tried mends it.
explain-rules = { $rules }.
explain-source = { $sentence } Source: { $source }.

working-ranks = Ranks that count on { $channels }: { $working }.
working-multiplied = Ranks that count of { $part }, behind its buffer: { $working }.
working-capacity = Capacity: { $working }.
working-slots = Modules for the slots that work: { $working }.
working-price = Price: { $working }.
working-power = Peak power: { $working }.
working-free_slots = Slots that stay free: { $working }.
working-rate = Rate: { $rate }, the lowest of what the modules ({ $rated }), the processor ({ $ceiling }) and this population ({ $listed }) allow.
working-rate-no-processor = Rate: { $rate }, the lower of what the modules ({ $rated }) and this population ({ $listed }) allow.

record-generation = The board's slots are for { $value }.
record-ecc = The board's record says whether modules need ECC.
record-accepts = The board's record lists the modules that it takes.
record-per_channel = The board's record limits how many of a sort a channel takes.
record-supply = The board sets { $value }.
record-input = The board's slots feed { $value }.
record-lowest_rate = The lowest rate of the board is { $value }.
record-height = The board has room for height class { $value }.
record-mixing = The board's record says what may be mixed.
record-rank_budget = A channel of the board sees at most { $value } ranks.
record-layouts = The board's record lists the position patterns.
record-rates = The board's record lists the rates.
record-processors = The board's record lists the processors.
record-socket_order = Sockets fill in the order { $value }.
record-position_order = Positions fill in the order { $value }.
record-channel_order = Channels fill in the order { $value }.
record-module_counts = Module counts of a socket: { $value }.
record-board_capacity = The board takes at most { $value }.
record-socket_capacity = A socket takes at most { $value }.
record-slot_power = A slot is laid out for { $value }.
record-protections = The board's record lists its protections.
record-slot_groups = The board's record lists its groups of slots.
record-slots = The board has { $value } slots.

limit-largest = At most { $count } of { $part } fit.
limit-removed = { $count ->
    [1] For that, one installed module comes out.
   *[other] For that, { $count } installed modules come out.
}
limit-none = No number of { $part } fits.
limit-stops = { $rules ->
    [1] What stops { $count } of them:
   *[other] What stops { $count } of them, each of { $rules } rules by itself:
}
limit-stops-together = What stops { $count } of them: these { $rules } rules can't all be kept.
limit-next = Without that, { $count } of { $part } would fit; then this stops more:
table-limit = What each number of { $part } gives
column-count = modules
column-per_channel = most on a channel
column-usable = usable
column-rate = rate
column-uniform = bandwidth, read evenly
conflict-none = Nothing is in conflict.
conflict-given = The slots are given, so each of these rules refuses them by itself.
conflict-by-itself = This rule refuses it by itself, whatever the slots:
conflict-not-all = These { $rules } rules can't all be kept, whatever the slots. Each breaks like this while the others are kept:
conflict-not-proven = A search was cut: there may be more that stands in the way.

compare-summary = The first kit is better on { $first } counts, the second on { $second }; they are equal on { $equal }.
compare-first = The first kit:
compare-second = The second kit:
compare-blocked = What stands in its way: { $rules }.
working-ranks-fullest = Ranks that count on the fullest channel: { $working }.
table-compare = The two kits beside each other
column-what = count
column-first = first kit
column-second = second kit
column-better = better
count-board = board
count-verdict = verdict
count-usable = usable capacity
count-rate = rate
count-uniform = bandwidth, read evenly
count-peak = peak bandwidth
count-modules = modules on the board
count-free_slots = slots free
count-fillers = fillers needed
count-power = peak power
count-price = price
better-first = first
better-second = second
better-equal = equal

# The worksheet. Every step has a `.check`: what shows that it is done.
worksheet-refused = There is no worksheet for this: it does not work as asked.
worksheet-find-out = Find this out before anything is opened:
worksheet-plan = { $count } of { $part } go into { $slots }.
worksheet-marks = Steps with a mark before their number can hurt someone or break something: read them to the end before you act. The printed labels of the slots decide; the order of fitting is the board's own.
step-caution = Caution
step-done = Done when: { $check }
phase-prepare = Before the machine is opened
phase-open = Opening it
phase-take_out = What stays and what comes out
phase-fit = What goes in, in this order
phase-close = Closing it
phase-report = What the machine should say
phase-otherwise = If it says something else

step-guide = Have the maker's service guide for this machine at hand. It and the local codes come before this sheet, and the work is for qualified staff.
    .check = The guide lies open at its memory chapter.
step-backup = Back up what is on the machine.
    .check = One file has been restored from the backup and read.
step-outage = Plan the outage and tell those who depend on the machine.
    .check = A time is agreed.
step-note-report = Save what the machine reports of its memory now, to compare later.
    .check = The report is saved outside the machine.
step-firmware = See in the set-up whether the firmware is { $version } or newer; update it first if it is not.
    .check = The set-up shows { $version } or newer.
step-lay-out = Lay out { $count } of { $part } in their antistatic packing and read each label: { $label }.
    .check = { $count } are there, and every label says so.
step-shut-down = Make sure that this is the right machine. Shut the operating system down and switch the machine off.
    .check = The machine's own label agrees with the order, and fans stand still.
step-disconnect = Disconnect every supply cable, the spare ones too.
    .check = No cable brings power to the machine.
step-wait = Wait as long as the guide says: parts hold a charge after the cables are out.
    .check = The time that the guide gives is over, and no lamp on the main board is lit.
step-lift = Get help to slide or lift the machine: it is heavy.
    .check = It stands safely on a bench or on locked rails.
step-static = Put on a grounded wrist strap and work on an antistatic mat.
    .check = Strap and mat are connected to ground.
step-cover = Take the cover off, and the air duct if there is one; lay both where they can't be forgotten. Heat sinks and modules may be hot, and sheet edges cut: let it cool and mind your hands.
    .check = Nothing near the memory is too hot to touch.
step-board-caution = Mind on this board: { $caution }
    .check = Read and understood.
step-find-slots = Find the { $count } memory slots of the { $board }. Their printed labels run from { $first } to { $last }. Where this sheet says position, 1 is the farthest from the processor.
    .check = You can read the label beside each slot that this sheet names.
step-nothing-there = Look at what is there: no memory module yet, and every slot is empty or holds a filler.
    .check = No module is there. If there is one, stop, close the machine again and ask whoever made this sheet: it was made for an empty board.
step-there = Look at what is there: { $part } in { $slots }.
    .check = It is there, as far as can be seen without pulling it out. If anything else is, stop, close the machine again and ask whoever made this sheet: it was made for another machine.
step-there-somewhere = Look at what is there: { $count } of { $part }, in slots that nobody told. Write the slots down.
    .check = { $count } are found and their slots written down.
step-no-other-there = Look at all other slots: they are empty or hold fillers.
    .check = No other module is there. If one is, stop, close the machine again and ask whoever made this sheet.
step-stays = { $slots }: leave { $part } where { $count ->
    [1] it is
   *[other] they are
}.
    .check = The latches there are closed.
step-how-out = For each module that comes out: keep a hand on it and open one latch at a time, so that it can't jump out. Hold it by its edges.
    .check = Both latches of the slot stand open before the module is lifted.
step-remove = { $slots }: take { $part } out for good. Put it into an antistatic bag.
    .check = The bag is marked with the slot it came from.
step-lay-aside = { $slots }: take { $part } out and lay it on the mat. It goes into slot { $to } later.
    .check = It lies on the mat, marked for slot { $to }.
step-fillers-out = { $count ->
    [1] Take the filler out of { $slots }, if there is one.
   *[other] Take the fillers out of { $slots }, where there are any.
}
    .check = These slots are free.
step-how-in = Read this first; it holds for every module that goes in. Open both latches of the slot. Hold the module by its edges, line its notch up with the key, press both ends evenly until both latches close by themselves. Never force it: a module that does not go in is turned round or is the wrong one.
    .check = You know how the latches of this board close.
step-key = Begin with { $slots }. Until this sheet says otherwise, the key in each slot, which the notch must meet, is nearer to the { $key ->
    [top] top
    [bottom] bottom
    [left] left
   *[right] right
} end, with the board seen as the guide draws it. Where a slot looks different, believe the slot.
    .check = You see the key, and hold the module the right way round.
step-key-flips = From { $slots } on, turn the modules round: the key is nearer to the { $key ->
    [top] top
    [bottom] bottom
    [left] left
   *[right] right
} end.
    .check = You see the key on that side.
step-seat = { $slots }: put { $part } in (socket { $socket }, channel { $channel }, position { $position }).
    .check = Both latches are closed, and both ends of the module stand equally deep.
step-seat-moved = { $slots }: put { $part } in again, the one from slot { $from } (socket { $socket }, channel { $channel }, position { $position }).
    .check = Both latches are closed, and both ends of the module stand equally deep.
step-fillers = { $count ->
    [1] One slot stays empty and needs a filler: { $slots }. Put it in if it is not there.
   *[other] { $count } slots stay empty and need a filler each: { $slots }. Put one in where it is missing.
}
    .check = Every slot of a socket with a processor holds a module or a filler.
step-look-over = Look over all slots: { $count } modules, all latches closed, no tool or screw left inside.
    .check = { $count } modules counted.
step-lid = Put the air duct, if there is one, and the cover back before power is applied.
    .check = All sits as the guide shows.
step-power = Take off the strap, put the machine back with help, connect the supply cables.
    .check = All cables are in, and only the standby lamps are lit.
step-start = Read below what to do at smoke or a smell of burning. Then switch the machine on and enter the set-up. The first start after a change takes several minutes, on large machines longer: leave the power on meanwhile.
    .check = The set-up page shows.
step-protection = Set { $protection } protection in the set-up and start again.
    .check = The set-up shows it as active.
step-capacity = Read the memory capacity.
    .check = It shows { $installed } from { $count } modules.
step-capacity-held-back = Read the memory capacity.
    .check = It shows { $installed } from { $count } modules, of which { $usable } can be used.
step-rate = Read the memory rate.
    .check = It shows { $rate }; some machines show half of that in MHz.
step-channels = Compare the list of modules with the table of channels below.
    .check = Each slot of the table shows its module, and no other slot shows one.
step-log = Look into the event log and start the operating system.
    .check = The log has no new memory error, and the operating system sees the capacity or a little less.
step-danger = Smoke, a smell of burning or a spark: disconnect every supply at once, touch nothing inside, call qualified staff.
    .check = The machine is without power.
step-no-start = It does not start in the time that the guide allows: shut it down and open it by the same steps as above, strap on. Look at each new module; where a latch stands open, take the module out and put it in again. If that does not help, put everything back as it was, and close the machine as above.
    .check = It starts.
step-less = It shows less memory: note which slots are missing, shut the machine down and open it by the same steps as above, and seat those modules again. If one stays missing, try it in a slot that works: if it fails there too, the module is the fault; if another module fails in its slot, the slot is.
    .check = The capacity is as above.
step-slower = It runs slower: see in the set-up whether a lower rate, a power saving or another voltage is set, and set these to automatic. Never set a voltage by hand.
    .check = The rate is as above.
step-verify = If anything still differs, give the machine's new report to whoever made this sheet: checked against the plan, it tells every slot that differs and what to try there.
    .check = No difference is left.

table-channels = What should be on each channel
column-socket = socket
column-channel = channel
column-slots = slots
column-modules = modules
column-capacity = capacity
# Words of the core that stand in sentences. English shows them as they are; the id is made of the
# word itself.
word-with = with
word-without = without
word-with-ecc = with ECC
word-without-ecc = without ECC
word-a-channel = a channel
word-a-socket = a socket
word-the-board = the board
word-channel = channel
word-socket = socket
word-none = none
word-mirrored = mirrored
word-rank-spare = rank spare
word-lockstep = lockstep
word-any = any
word-flat = flat
word-tall = tall
word-capacity = capacity
word-ranks = ranks
word-width = width
word-kind = kind
word-part-number = part number
word-population = population
word-module = module
word-generation = generation
word-kind-of-module = kind of module
word-number-of-package-ranks = number of package ranks
word-height-of-the-stacks = height of the stacks
word-device-width = device width
word-die-density = die density
word-number-of-ecc-bits = number of ECC bits
word-rate = rate
word-cas-latency = CAS latency
word-supply-voltage = supply voltage
word-input-voltage = input voltage
word-timing = timing
word-height-class = height class
word-maker = maker
word-package-ranks = package-ranks
word-package = package
word-stack-height = stack-height
word-voltage = voltage
word-module-letter = module-letter
word-ecc-bits = ecc-bits
word-spd-revision = spd-revision
word-raw-card = raw-card
word-speed-bin = speed-bin
word-temperature-grade = temperature-grade
word-the-rate = the rate
word-the-width-of-80-bits = the width of 80 bits
word-1-1-v-and-the-rate = 1.1 V and the rate
word-1-2-v-and-the-rate = 1.2 V and the rate
word-the-voltage-and-the-rate = the voltage and the rate

severity-blocker = blocker
severity-warning = warning
severity-advice = advice
severity-note = note
severity-unknown = unknown

report-on = { $asked } on { $board }
report-nothing-asked = No module
report-installed = { $modules } (installed)
report-beside = { $added } beside { $installed } (installed)
report-why = Why
report-rule = rule { $rule }; source: { $source }
report-more = and { $count } more
report-given = Slots as given
report-nearest = The placement that comes nearest
report-best = Where each module goes
report-better-may-exist = Where each module goes (a better order may exist)
report-left-over = left over: { $count } × { $part }
report-moved = installed modules that move: { $count }
report-removed = installed modules that come out: { $count }
report-outcome = What comes out
report-capacity = capacity
report-capacity-line = { $installed } installed, { $usable } usable
report-capacity-protected = { $installed } installed, { $usable } usable under { $protection } protection
report-rate = rate
report-rate-at = { $rate } at { $voltage }
report-limit = (limit: { $limits })
report-limit-module = the rating of { $part }
report-limit-processor = the processor { $model }
report-limit-population = what the board lists for so many modules and ranks
report-bandwidth = bandwidth
report-bandwidth-line = { $peak } peak, { $even } read evenly
report-power = power
report-power-line = { $typical } typical, { $peak } peak
report-slots = slots
report-slots-line = { $free } free, { $fillers } fillers needed
report-noted = Noted while reading

# Drawings of a board.
draw-title = { $board }: { $modules ->
    [1] one module
   *[other] { $modules } modules
} in { $slots } slots
draw-socket = Socket { $socket }
draw-socket-with = Socket { $socket }: { $processor }
draw-socket-empty = Socket { $socket }: no processor
draw-channel = channel { $channel }
draw-processor = processor
draw-processor-none = no processor
draw-goes-in = goes in
draw-stays = stays
draw-filler = filler
draw-free = free
draw-blocked = blocked
draw-no-processor = There is no processor in this socket, so nothing reaches its slots.
draw-not-served = The processor does not serve this channel.
draw-ranks-used = All ranks that the channel sees are used ({ $seen } of { $budget }): another module would be one too many.
draw-part = { $count } × { $part }: { $build }
draw-key-order = Ring above a slot: when it fills on its channel.
draw-key-channel = Bracket below: the channel.
draw-key-notch = Small triangle: the end that the key is nearer to.
draw-key-plus = Plus: goes in now. Without it: is there and stays.
draw-key-filler = Filler: an empty slot that takes one, so that the air passes over the modules.


# A comparison of what was planned with what was found: `verify-ID` says what was found, `try-ID` what
# to try. `$slots`, `$channels` and `$sockets` are there besides a sentence's own parameters.

one-of-slots = one of the slots { $list }

agreement-agrees = What was found is what was planned.
agreement-cannot_tell = The report does not tell all that is needed: see what is open.
agreement-differs = What was found is not what was planned.

verify-title = { $board }: what was found after the work
verify-slots-title = Slot by slot: planned | found
planned-nothing = nothing
found-empty = empty
found-unreadable = a module that can't be read
found-untold = not told

verify-difference = { $fact } is { $found } instead of { $planned }

verify-report-of-other-generation = The report shows { $found } modules, but this board takes { $planned } only: it is the report of another machine, or the plan names the wrong board.
verify-report-shows-no-module = The report shows no module at all, where { $planned ->
    [1] one is planned.
   *[other] { $planned } are planned.
}
verify-report-shows-state-before = The report shows the { $installed ->
    [1] module that was
   *[other] { $installed } modules that were
} there before, and { $added ->
    [1] not the one
   *[other] none of the { $added }
} to be added in { $slots }: it may be from before the work.
verify-socket-without-processor = { $sockets }: the report shows no processor there, so { $count ->
    [1] the module of its slot is
   *[other] the { $count } modules of its slots are
} not seen ({ $slots }).
verify-socket-not-seen = { $sockets }: none of the { $count } modules planned there is seen ({ $slots }). Where a whole socket is missing, look at its processor first.
verify-processor-not-seen = { $sockets }: a processor is planned there, but the report shows none that works. Memory of a socket without its processor can't be reached, whatever else the report lists of it.
verify-channel-not-seen = { $channels }: none of the { $count } modules planned there is seen ({ $slots }). One module that is not fully seated can hide all of its channel.
verify-module-not-seen = { $slots }: { $part } is planned there, but no module is seen. Mostly it is not fully seated.
verify-fewer-modules-seen = { $slots }: { $planned } modules are planned there, but only { $seen } { $seen ->
    [1] is
   *[other] are
} seen. The report does not tell which slot lacks its module.
verify-module-unreadable = { $slots }: a module is seen, but its facts can't be read, where { $part } is planned.
verify-module-switched-off = { $slots }: { $part } is seen, but the machine's firmware has switched it off, so it gives no memory.
verify-part-of-module-not-seen = { $slots }: of { $part } only { $seen } of { $whole } is seen, so a rank is missing.
verify-capacity-differs = { $slots }: { $part } is planned there, but { $found } is seen: { $differences }.
verify-other-module = { $slots }: { $part } is planned there, but another module is seen ({ $found }): { $differences }.
verify-modules-exchanged = { $one } and { $other } sit in each other's slots ({ $from } and { $to }).
verify-module-in-other-slot = { $part } sits in slot { $from }, but is planned for slot { $to }.
verify-module-in-unfitted-socket = { $slots }: a module is seen there, but no processor is planned for { $sockets }, so its memory can't be reached.
verify-module-not-planned = { $planned ->
    [0] { $slots }: a module is seen there ({ $found }), but none is planned. It may be an old one that was left in.
   *[other] { $all_slots }: more modules are seen there than the { $planned ->
        [1] one that is
       *[other] { $planned } that are
    } planned (one of them { $found }), and the report does not tell its slots apart. It may be an old one that was left in, or one that is listed twice.
}
verify-other-processor = { $sockets }: the report shows the processor { $found }, where { $planned } is planned. It may run memory at another rate.
verify-rate-lowered-by-module = The memory runs at { $found } instead of { $planned }, since { $module } is made for { $rating } only: the slowest module sets the rate of the others.
verify-rate-lowered-by-count = The memory runs at { $found } instead of { $planned }, since more modules than planned sit on { $channels }.
verify-rate-below-plan = The memory runs at { $found } instead of { $planned }. If all modules are as planned, then a setting of the firmware or the processor model holds it back.
verify-rate-above-plan = The memory runs at { $found }, faster than the { $planned } that its modules, the processor and this board's record allow: it may be set by hand, and may not be stable.
verify-protection-not-on = { $found } can be used, though { $protection } protection should leave { $planned }: the protection is not on.
verify-memory-held-back = All { $installed } of modules are seen, but only { $found } of { $usable } can be used: a protection may be on, or the firmware holds a module back after errors.
verify-capacity-below-plan = The modules that are seen hold { $found } instead of { $planned }.
verify-other-part-number = { $slots }: a module of the planned facts is seen, with another part number ({ $found } in place of { $part }).
verify-module-faster-than-planned = { $slots }: a module made for { $rate } is seen ({ $found }) in place of { $part }. It will do.
verify-facts-not-told = { $slots }: it can't be told whether it is { $part }, since the report does not tell { $facts }.
verify-slots-not-told = It can't be told which module sits in which of { $slots }: the report does not tell its slots apart.
verify-occupancy-not-told = { $slots }: the report does not say whether a module is there.
verify-report-incomplete = The report lacks a part, so what it does not list may still be there.
verify-rate-not-told = { $channel_count ->
    [0] It can't be told whether the memory runs
   *[other] It can't be told whether the memory on { $channels } runs
} at { $planned }, since the report does not tell the rate at which it runs.
verify-total-above-modules = { $found } can be used, but the modules that are seen hold { $installed }: modules may be there that are not listed, or one of the two is misread.
verify-total-not-told = It can't be told whether the protection is on, since the report does not tell how much memory can be used.

try-mend-causes-first = Mend what is named before this first, then compare again.
try-check-machine = Make sure that the report is of this machine: compare the serial number or the host name.
try-check-board = Compare the board of the plan with the name printed on the board.
try-take-new-report = Take a new, whole report now that the machine has started after the work, and compare again.
try-reseat = Shut the server down and disconnect every supply. Take the module out ({ $slots }), look at its contacts and the slot, and press it in again evenly until both latches close by themselves.
try-reseat-named = Shut the server down and disconnect every supply. Take the module that the log names out, look at its contacts and the slot, and press it in again evenly until both latches close by themselves.
try-swap-slot = If that does not help, exchange it with a module that is seen, again without power: if the fault stays with the slot, suspect the slot, its channel or the processor.
try-swap-module = If the fault moves with the module, fit another one of the planned part number.
try-try-one-module = Start with one module in the first slot that the filling order names, then add the others one by one: the one after which it fails is the one to look at.
try-look-at-processors = Look in the set-up screen whether every processor is listed and enabled.
try-seat-processor = Have qualified staff seat the processor again after the maker's guide: uneven pressure or a bent contact hides channels. Never touch the contacts.
try-find-slot = Look in the set-up screen or at the fault lights which of { $slots } lacks its module.
try-read-label = Read the module's label and compare it with the plan.
try-fit-planned = With the power off and every supply disconnected, fit the planned module, or validate again with the one that is there.
try-exchange = With the power off and every supply disconnected, exchange the two modules.
try-move = With the power off and every supply disconnected, move the module from slot { $from } to slot { $to }.
try-move-to-fitted-socket = With the power off and every supply disconnected, move the module to a slot of a socket that holds a processor.
try-take-out = With the power off and every supply disconnected, take the module out, or add it to the plan and validate again.
try-replace-slower = With the power off and every supply disconnected, replace the slower module by a planned one.
try-thin-out = With the power off and every supply disconnected, take out or move the modules that the plan does not put there.
try-set-rate-automatic = Look in the set-up screen: set the memory rate to automatic and choose a power profile that does not save at the memory.
try-compare-processor = Compare the processor model with the plan: its memory controller has a highest rate of its own.
try-update-firmware = See whether the maker's notes on newer firmware name the fault, and update it after the maker's guide.
try-set-protection = Set the planned protection in the set-up screen and start again.
try-look-at-protection = Look in the set-up screen whether mirroring, a spare rank or another protection is as planned.
try-read-event-log = Read the event log of the machine: firmware notes there which module it has switched off, and why.
try-compare-slots = Compare the labels printed beside the slots with the plan, and tell which slot of the report is which in `slots`.
try-look-at-rate = Look in the set-up screen at which rate the memory runs.
# Kits that the optimiser found.
plan-title = Kits for { $board }
plan-proven = { $count ->
    [1] This is the best kit: none that meets every wish is better.
   *[other] These are the best { $count } kits, in order: no other that meets every wish is better.
}
plan-best-found = This is the best kit found before the search was cut; how much better one can be is not known.
plan-best-found-within = This is the best kit found before the search was cut: no other can be better by more than { $gap } in { $key }.
plan-infeasible = No kit meets every wish.
plan-undecided-cut = The search was cut before it found a kit or knew that there is none.
plan-undecided-open = Every kit that could do hangs on a fact that is not known.
plan-open = Kits were passed over because a fact that could forbid them is not known.
plan-cut-time = The time was over, so the same request may be answered otherwise the next time.
plan-cut-steps = The search had taken all its steps: grant more to know more.
plan-kit = Kit { $number }: { $cost }
plan-buy = Buy { $quantity } × { $part }: { $cost }{ $over ->
    [0] .
   *[other] , { $over } left over.
}
plan-buy-nothing = Nothing to buy.
plan-handling = Handling: { $cost }.
plan-move = Move { $part } from { $from } to { $to }.
plan-remove = Take { $part } out of { $from }.
plan-kept = { $count ->
    [1] One installed module stays where it is.
   *[other] { $count } installed modules stay where they are.
}
plan-slot-not-told = a slot that was not told
plan-not-known = not known
plan-counts = The search took { $steps } steps in { $jobs } parts, { $closed } of them closed by their bound alone, and judged { $leaves } whole boards.
front-complete = { $count ->
    [1] One kit is beaten by no other in { $keys } together: there is nothing to trade.
   *[other] These are all { $count } kits that no other beats in { $keys } together.
}
front-empty = Kits meet every wish, but none of them is above 0 in all of { $keys }: the front has no point.
front-some = { $count ->
    [1] This is one kit that no other beats in { $keys } together; there may be more.
   *[other] These are { $count } kits that no other beats in { $keys } together; there may be more.
}
key-cost = cost
key-usable = usable capacity
key-rate = rate
key-peak = peak bandwidth
key-uniform = bandwidth when read evenly
key-power = peak power
key-modules = number of modules
key-free-slots = free slots
key-moved = modules moved or taken out
key-parts = number of part numbers

no-kit-whatever = Nothing that was asked stands in the way: this board takes no kit of what is for sale.
no-kit-barred = No choice of modules mends this: { $demands }.
no-kit-alone = This alone cannot be met with what is for sale: { $demands }.
no-kit-together = These cannot all be met at once, and without any one of them the others could: { $demands }.
no-kit-together-perhaps = These cannot all be met at once; whether every one of them is needed for that was not found out in time: { $demands }.
demand-capacity-at-least = at least { $value } usable
demand-rate-at-least = at least { $value }
demand-budget = at most { $value }
demand-capacity-at-most = at most { $value } usable
demand-power = at most { $value } peak power
demand-peak = at least { $value } peak bandwidth
demand-uniform = at least { $value } when read evenly
demand-free-slots = { $value } slots free
demand-balance-channels = all channels alike
demand-balance-sockets = all sockets alike
demand-chip-correction = correction of a whole failed device
demand-rank-interleave = interleave of the ranks of every channel
demand-licence = no more than { $value } that can be used
demand-one-part = one part number only
demand-builds = at most { $value } builds of module
demand-moved = at most { $value } installed modules moved or taken out
demand-mirrored = mirroring
demand-rank-spare = rank sparing
demand-lockstep = lockstep
demand-lowest-voltage = the lowest supply voltage
demand-in-place = installed modules in their slots
demand-keep = all installed modules stay
demand-replace = all installed modules out
demand-stock = what is in stock
demand-rule = rule { $rule }

changes-title = What alone would help
changes-none = No change of a single wish is enough.
changes-undecided = Of these it could not be found out in time whether changing them helps: { $demands }.
change-not-least = A smaller change may do.
change-budget = raise the budget by { $by } to { $to }.
change-capacity-at-least = accept { $to } usable instead of { $from }.
change-capacity-at-most = allow { $to } usable instead of { $from }.
change-licence = have { $to } that can be used instead of { $from }.
change-rate-at-least = accept { $to } instead of { $from }.
change-power = allow { $to } peak power instead of { $from }.
change-peak = accept { $to } peak bandwidth instead of { $from }.
change-uniform = accept { $to } when read evenly instead of { $from }.
change-free-slots = leave { $to } slots free instead of { $from }.
change-balance-sockets = have sockets alike, but not all channels.
change-balance-none = do without balance.
change-no-chip-correction = do without correction of a whole failed device.
change-no-rank-interleave = do without interleave of ranks.
change-parts = allow { $to } part numbers instead of { $from }.
change-builds = allow { $to } builds of module instead of { $from }.
change-moved = move or take out { $to } installed modules instead of at most { $from }.
change-no-protection = do without the protection.
change-any-voltage = allow any supply voltage.
change-keep = let installed modules change their slots.
change-may-remove = let installed modules be taken out.
change-stock = have { $to } of { $part } in stock instead of { $from }.
change-capacities-of-board = a board that takes { $to } capacities instead of { $from } would do.
# Titles of explanations.
explain-title = { $about }: { $subject }
about-verdict = Why this verdict
about-limit = How many at most
about-compare = Two kits beside each other
about-choice = Why not this kit
about-conflict = Why nothing fits
about-worksheet = Worksheet
table-marked = this one

# Why the optimiser preferred its kit to a named one ("this kit").
choice-preferred = The optimiser's kit is preferred: { $key } decides, { $chosen } against { $named }.
choice-preferred-sum = The optimiser's kit is preferred: its weighted sum is lower, { $chosen } against { $named }.
choice-better = This kit is better than the one that the optimiser found: { $key } decides, { $named } against { $chosen }.
choice-better-sum = This kit is better than the one that the optimiser found: its weighted sum is lower, { $named } against { $chosen }.
choice-same = This is the kit that the optimiser chose.
choice-tie = Both kits are equal in all that is preferred. Of equals the optimiser takes the one with the better { $key }: { $chosen } against { $named }.
choice-tie-named = Both kits are equal in all that is preferred. This kit is even better in { $key }, { $named } against { $chosen }, but that was not asked for: name it in the preference.
choice-tie-first-met = Both kits are equal in all that is preferred: the optimiser takes the one that it meets first.
choice-none-found = The optimiser found no kit, but this one meets every wish.
choice-refused = This kit is not allowed, whatever is wished.
choice-open = The optimiser passes this kit over, since it hangs on something that is not known.
choice-not-for-sale = Not all of this kit is for sale:
choice-shortage = { $sold ->
    [0] { $part } is not for sale.
   *[other] { $wanted } of { $part } are needed, but only { $sold } can be had.
}
choice-unmet = This kit does not meet what was asked:
choice-unmet-demand = Not met: { $demands }.
choice-chosen = The optimiser's kit:
choice-named = This kit:
choice-moved = { $count ->
    [1] One installed module gets another slot.
   *[other] { $count } installed modules get other slots.
}
choice-removed = { $count ->
    [1] One installed module comes out.
   *[other] { $count } installed modules come out.
}
choice-placed-best = It is placed where it is worth most by what is preferred.
choice-placed-best-of-some = It is placed where it is worth most by what is preferred. As few installed modules come out as it takes, or those that the optimiser's kit takes out, or all, whichever is best.
choice-placed-unsure = The search for its best place was cut: a better one may exist.
choice-placed-as-checked = It is placed as a check places it, by the highest rate first: a better place may exist.
choice-perhaps-met = Another place may meet what this one does not.
choice-key-same = { $key }: the same for both, { $value }.
choice-key-chosen = { $key } of the optimiser's kit: { $value }.
choice-key-chosen-by = { $key } of the optimiser's kit: { $working }.
choice-key-named = { $key } of this kit: { $value }.
choice-key-named-by = { $key } of this kit: { $working }.
choice-sum-chosen = Weighted sum of the optimiser's kit: { $working }.
choice-sum-named = Weighted sum of this kit: { $working }.
choice-total = weighted sum
table-choice = The two kits by what is preferred, then by what is not
table-choice-weights = The two kits, weight by weight: more of what is good counts below zero
column-chosen = optimiser's kit
column-named = this kit
column-weight = weight
column-share-chosen = adds to the optimiser's
column-share-named = adds to this
better-chosen = optimiser's
better-named = this
