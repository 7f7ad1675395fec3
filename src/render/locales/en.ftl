# Everything that is said and is not a rule's own sentence. Other languages are one file each.

list-and = { $first } and { $last }
place-board = the whole board
list-or = { $first } or { $last }
list-range = { $first } to { $last }

slots = { $count ->
    [one] slot { $list }
   *[other] slots { $list }
}
channels-of-socket = { $count ->
    [one] channel { $list }
   *[other] channels { $list }
} of { $sockets }
channels = { $count ->
    [one] channel { $list }
   *[other] channels { $list }
}
sockets = { $count ->
    [one] socket { $list }
   *[other] sockets { $list }
}

undecided = It can't be told { $asks }: { $facts }.
missing-fact-of = { $fact } of { $part } is not known (read it off { $where })
missing-facts-of = { $facts } of { $part } { $count ->
    [one] is
   *[other] are
} not known
missing-facts = { $facts } { $count ->
    [one] is
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
fix-fit-processor = Fit a processor into socket { $socket }, or move its modules.
fix-order-fillers = { $count ->
    [one] Order one filler.
   *[other] Order { $count } fillers.
}
fix-tell = Tell { $fact } of { $part }: read it off { $where }.
fix-tell-general = Tell { $fact }: read it off { $where }.
fix-wish-capacity-at-least = Ask for at least { $value } of usable memory.
fix-wish-capacity-at-most = Allow up to { $value } of usable memory.
fix-wish-rate = Ask for at least { $value }.
fix-wish-free-slots = { $value ->
    [0] Ask for no free slot.
    [one] Ask for one free slot.
   *[other] Ask for { $value } free slots.
}
fix-wish-budget = Raise the budget to { $value }.
fix-wish-power = Allow { $value } of peak power.
fix-wish-balance-none = Drop the wish for balance.
fix-wish-balance-sockets = Ask for balance between sockets only.
fix-wish-balance-channels = Ask for balance between channels.
fix-wish-chip-correction = Drop the wish for correction of a failed device.

caution-title = Before you open the server
caution-power = Shut it down, disconnect every supply and wait as the maker says: parts inside stay live and hot.
caution-static = Wear a grounded wrist strap and hold modules by their edges.
caution-hands = Edges are sharp and the machine is heavy: lift it with help.
caution-force = A module whose notch does not meet the key does not belong there: never force it.
caution-guide = The maker's service guide and local codes come first; leave the work to qualified staff.

# Explanations.
explain-fact = { $fact } of { $part }: { $value }.
explain-again = { $sentence } (see above)
explain-cut = There is more; it was cut to keep this readable.
not-known = not known
working-least = the lowest of { $terms } is { $result }
working-greatest = the highest of { $terms } is { $result }
working-at-most = { $sum } of { $bound }
working-at-least = { $sum }, needed { $bound }
working-one-of = { $sum }, supported { $bound }
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
    [one] one module
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
