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
missing-fact = { $fact } is not known (read it off { $where })

verdict-fits = It fits.
verdict-fits_with_warnings = It fits, with warnings.
verdict-undecided = It can't be told yet whether it fits.
verdict-does_not_fit = It does not fit.
verdict-cut = The search for a placement was cut at its limit: ask about a smaller or simpler kit.
verdict-conflict = No placement meets all of these rules at once: { $rules }.
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
