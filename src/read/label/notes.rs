//! Every kind of note that the label reader and writer can give.

use crate::read::note::kinds;

kinds! {
    // The whole text.
    NOTHING Fault "label-empty" []
        "There is no label text to read.";
    TOO_LONG Caution "label-too-long" ["read"]
        "The text is longer than any label; only its first { $read } words were read.";
    UNDERSCORE Remark "label-separator-misread" ["found", "meant"]
        "The label separates its fields with hyphens: `{ $found }` was read as `{ $meant }`.";

    // Capacity.
    CAPACITY_MISSING Caution "label-capacity-missing" []
        "The label does not tell the capacity, such as 32GB.";
    CAPACITY_MISREAD Fault "label-capacity-misread" ["found", "meant"]
        "The capacity `{ $found }` probably reads `{ $meant }`.";
    CAPACITY_UNUSUAL Caution "label-capacity-unusual" ["found"]
        "No module has a capacity of { $found }: it is neither a power of two nor three times one.";

    // Organisation.
    ORGANISATION_MISSING Caution "label-organisation-missing" []
        "The label does not tell the ranks and the device width, such as 2Rx4.";
    ORGANISATION_MISREAD Fault "label-organisation-misread" ["found", "meant"]
        "The organisation `{ $found }` probably reads `{ $meant }`.";
    RANK_COUNT_UNKNOWN Fault "label-rank-count-unknown" ["found", "allowed"]
        "No module has the rank count in `{ $found }`; a label has { $allowed }.";
    WIDTH_UNKNOWN Fault "label-width-unknown" ["found", "allowed"]
        "No device has the width in `{ $found }`; a label has { $allowed }.";
    HEIGHT_WITHOUT_STACK Fault "label-height-without-stack" ["found"]
        "`{ $found }` counts logical ranks, but only a stack, marked by the letter S, has them.";
    HEIGHT_MISSING Fault "label-stack-height-missing" ["found"]
        "`{ $found }` names a stack by the letter S, but the count of logical ranks after it is missing.";
    HEIGHT_UNKNOWN Fault "label-stack-height-unknown" ["found", "allowed"]
        "No stack has the height in `{ $found }`; a label has { $allowed }.";
    PACKAGE_NOT_IN_GENERATION Caution "label-package-not-in-generation" ["found", "generation"]
        "Labels of { $generation } modules do not tell how dies share a package, yet this one has `{ $found }`.";
    RANKS_ARE_LOGICAL Caution "label-ranks-are-logical" ["found"]
        "The rank count in `{ $found }` must be one of logical ranks; how many package ranks the module has does not follow from it.";

    // Generation and speed.
    SPEED_MISSING Caution "label-speed-missing" []
        "The label does not tell the generation and the speed, such as PC4-2400T.";
    GENERATION_MISREAD Fault "label-generation-misread" ["found", "meant"]
        "The generation `{ $found }` probably reads `{ $meant }`.";
    GENERATION_MISSING Fault "label-generation-missing" ["found", "meant"]
        "The generation is missing before `{ $found }`; it probably reads `{ $meant }`.";
    GENERATION_UNCLEAR Fault "label-generation-unclear" ["found"]
        "The generation is missing before `{ $found }`, and more than one could be meant.";
    GENERATION_NOT_COVERED Fault "label-generation-not-covered" ["found"]
        "`{ $found }` is of a generation that is not covered; DDR3, DDR4 and DDR5 are.";
    RATE_MISREAD Fault "label-rate-misread" ["found", "meant"]
        "The speed `{ $found }` probably reads `{ $meant }`.";
    RATE_UNKNOWN Fault "label-rate-unknown" ["found", "allowed"]
        "The speed `{ $found }` is none that the generation has: { $allowed }.";
    BIN_MISREAD Fault "label-speed-bin-misread" ["found", "meant"]
        "The speed bin `{ $found }` probably reads `{ $meant }`.";
    BIN_UNKNOWN Fault "label-speed-bin-unknown" ["found", "allowed"]
        "The speed bin `{ $found }` is none that this speed has: { $allowed }.";
    BIN_MISSING Caution "label-speed-bin-missing" ["found"]
        "The speed `{ $found }` lacks the letters of its speed bin, so the latency is not known.";

    // What follows the speed.
    LETTER_MISSING Caution "label-module-letter-missing" []
        "The label does not tell the kind of module by a letter, such as R for RDIMM.";
    LETTER_UNKNOWN Fault "label-module-letter-unknown" ["found", "allowed"]
        "The module letter `{ $found }` is none that the generation has: { $allowed }.";
    KIND_WORD_DIFFERS Caution "label-kind-word-differs" ["found", "kind"]
        "The module letter says { $kind }, the word `{ $found }` beside it says otherwise.";
    CARD_MISREAD Fault "label-raw-card-misread" ["found", "meant"]
        "The raw card `{ $found }` probably reads `{ $meant }`.";
    CARD_UNKNOWN Fault "label-raw-card-unknown" ["found"]
        "There is no raw card `{ $found }`; it is one or two letters and a revision.";
    CARD_INCOMPLETE Remark "label-raw-card-incomplete" ["found"]
        "The raw card `{ $found }` lacks its revision.";
    CAS_UNKNOWN Fault "label-cas-latency-unknown" ["found"]
        "`{ $found }` cannot be a CAS latency.";
    DIGITS_MISREAD Fault "label-digits-misread" ["found", "meant"]
        "`{ $found }` stands where digits belong and probably reads `{ $meant }`.";
    REVISION_UNKNOWN Fault "label-spd-revision-unknown" ["found"]
        "`{ $found }` cannot be an SPD revision.";
    SUFFIX_DOUBTFUL Remark "label-suffix-doubtful" ["found", "meant"]
        "The maker's own text `{ $found }` may read `{ $meant }`.";

    // ECC and dies.
    ECC_ASSUMED Remark "label-ecc-bits-assumed" ["found"]
        "The label does not tell the ECC bits of a sub-channel; the usual { $found } are assumed.";
    ECC_CONFLICT Fault "label-ecc-bits-conflict" ["found", "letter"]
        "The module letter { $letter } and the word `{ $found }` tell different numbers of ECC bits.";
    DENSITY_IMPLAUSIBLE Caution "label-density-implausible" ["density", "generation"]
        "Capacity, ranks and width together would need dies of { $density }, which { $generation } does not have: one of them is not right.";

    // Two-dimensional code text.
    CODE_TEXT_UNKNOWN Fault "label-code-text-unknown" ["found"]
        "The serial field `{ $found }` of the code text is not 18 hexadecimal digits.";

    // Writing.
    NOT_WRITABLE Caution "label-not-writable" ["missing"]
        "The label of this module cannot be told without { $missing }.";
    LEFT_OUT Remark "label-part-left-out" ["missing"]
        "The label leaves out what is not known: { $missing }.";
}
