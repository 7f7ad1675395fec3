# Deutsch. Jede Meldung, die es englisch gibt, mit denselben Variablen: die Sätze der Regeln (deren
# Englisch in der Datei der Regel steht), der Angaben (src/domain/finding.rs), der Leser (src/read;
# hier mit `note-` davor) und alles aus en.ftl. `cargo test --test languages` nennt jede Zeile, die
# fehlt. Codes, Kennungen, MT/s, GiB und Namen von Modulen bleiben, wie sie sind.

list-and = { $first } und { $last }
place-board = das ganze Board
list-or = { $first } oder { $last }
list-range = { $first } bis { $last }

slots = { $count ->
    [1] Steckplatz { $list }
   *[other] Steckplätze { $list }
}
channels-of-socket = { $count ->
    [1] Kanal { $list }
   *[other] Kanäle { $list }
} von { $sockets }
channels = { $count ->
    [1] Kanal { $list }
   *[other] Kanäle { $list }
}
sockets = { $count ->
    [1] Sockel { $list }
   *[other] Sockel { $list }
}

undecided = Es lässt sich nicht sagen, { $asks }: { $facts }.
missing-fact-of = { $fact } von { $part } ist nicht bekannt (Auskunft gibt { $where })
missing-facts-of = { $facts } von { $part } { $count ->
    [1] ist
   *[other] sind
} nicht bekannt
missing-facts = { $facts } { $count ->
    [1] ist
   *[other] sind
} nicht bekannt
missing-placement = ob es eine Platzierung gibt, war bis zur Grenze der Suche nicht zu klären (nach weniger verschiedenen Modulen auf einmal fragen oder die Steckplätze angeben)
missing-fact = { $fact } ist nicht bekannt (Auskunft gibt { $where })

verdict-fits = Es passt.
verdict-fits_with_warnings = Es passt, mit Warnungen.
verdict-undecided = Ob es passt, lässt sich noch nicht sagen.
verdict-does_not_fit = Es passt nicht.
verdict-cut = Die Suche nach einer Platzierung wurde an ihrer Grenze abgebrochen: nach weniger verschiedenen Modulen auf einmal fragen oder die Steckplätze angeben.
verdict-conflict = Keine Platzierung hält alle diese Regeln zugleich ein: { $rules }.
verdict-conflict-unproven = Die Suche nach dem Grund wurde abgebrochen: genannte Regeln sind vielleicht nicht alle nötig, und es können welche fehlen.
verdict-models-slots = Es passt mit jedem Prozessormodell, aber in keinen Slots, die zu allen passen: bitte das Modell nennen.
verdict-models = Es hängt vom Prozessormodell ab: mit { $works } geht es, mit { $fails } nicht.

largest = Höchstens { $quantity } × { $part } passen; gefragt waren { $asked }.
largest-none = Keine Anzahl von { $part } passt in dieses Board.
largest-beside = Neben den übrigen Positionen passen höchstens { $quantity } × { $part }; gefragt waren { $asked }.
largest-none-beside = Neben den übrigen Positionen passt keine Anzahl von { $part }.

fix-rearrange = Die Module stattdessen so einsetzen: { $seats }.
fix-seat = { $part } in { $slots }
fix-move = Das Modul aus Steckplatz { $from } in Steckplatz { $to } umsetzen.
fix-swap = Die Module der Steckplätze { $one } und { $other } tauschen.
fix-remove = Das Modul aus Steckplatz { $slot } herausnehmen.
fix-set-quantity = { $quantity } statt { $asked } × { $part } bestellen.
fix-choose-other = Ein anderes Modul statt { $part } wählen: { $needs }.
fix-need = { $fact }: { $value }
fix-set-protection-none = Keinen Schutz verlangen.
fix-set-protection = Schutz durch { $protection } verlangen.
fix-set-voltage-fastest = Die Spannung mit der höchsten Datenrate einstellen.
fix-set-voltage-lowest = Die niedrigste gemeinsame Spannung einstellen.
fix-update-firmware = Die Firmware des Boards auf { $version } oder neuer aktualisieren.
fix-choose-processor = Stattdessen das Prozessormodell { $model } einbauen.
fix-fit-processor = In Sockel { $socket } einen Prozessor einbauen oder seine Module umsetzen.
fix-order-fillers = { $count ->
    [1] Einen Platzhalter bestellen.
   *[other] { $count } Platzhalter bestellen.
}
fix-tell = Bitte angeben: { $fact } von { $part }. Auskunft gibt { $where }.
fix-tell-general = Bitte angeben: { $fact }. Auskunft gibt { $where }.
fix-wish-capacity-at-least = Mindestens { $value } nutzbaren Speicher verlangen.
fix-wish-capacity-at-most = Bis zu { $value } nutzbaren Speicher zulassen.
fix-wish-rate = Mindestens { $value } verlangen.
fix-wish-free-slots = { $value ->
    [0] Keinen freien Steckplatz verlangen.
    [1] Einen freien Steckplatz verlangen.
   *[other] { $value } freie Steckplätze verlangen.
}
fix-wish-budget = Das Budget auf { $value } erhöhen.
fix-wish-power = { $value } Spitzenleistung zulassen.
fix-wish-balance-none = Auf gleichmäßige Verteilung verzichten.
fix-wish-balance-sockets = Nur zwischen den Sockeln gleichmäßige Verteilung verlangen.
fix-wish-balance-channels = Zwischen den Kanälen gleichmäßige Verteilung verlangen.
fix-wish-chip-correction = Auf die Korrektur eines ausgefallenen Bausteins verzichten.
fix-wish-rank-interleave = Auf die Verschränkung der Ränge verzichten.

caution-title = Vor dem Öffnen des Servers
caution-power = Herunterfahren, jede Stromzufuhr trennen und so lange warten, wie der Hersteller sagt: Teile im Inneren bleiben unter Spannung und heiß.
caution-static = Ein geerdetes Handgelenkband tragen und Module an den Kanten fassen.
caution-hands = Kanten sind scharf und die Maschine ist schwer: nur mit Hilfe heben.
caution-force = Ein Modul, dessen Kerbe nicht auf den Steg trifft, gehört dort nicht hin: nie mit Gewalt einsetzen.
caution-guide = Servicehandbuch des Herstellers und örtliche Vorschriften gehen vor; die Arbeit gehört in die Hände von Fachkräften.

# Erklärungen.
explain-fact = { $fact }: { $value }
explain-facts = { $part }: { $facts }.
explain-again = { $sentence } (siehe oben)
explain-cut = Es gibt noch mehr; es wurde gekürzt, damit dies lesbar bleibt.
not-known = nicht bekannt
working-least = das niedrigste von { $terms } ist { $result }
working-greatest = das höchste von { $terms } ist { $result }
working-at-most = { $sum } von { $bound }
working-at-least = { $sum }, nötig { $bound }
working-one-of = { $sum }, unterstützt { $bound }
explain-holds = { $slot_count ->
    [1] { $slots } enthält { $part }.
   *[other] { $slots } enthalten { $part }.
}
explain-holds-all = Alle Steckplätze ({ $channels }) enthalten { $part }.
explain-empty = { $slot_count ->
    [1] { $slots } ist leer.
   *[other] { $slots } sind leer.
}
explain-amount = { $count } × { $part } soll hinein.
explain-amount-installed = { $installed } × { $part } ist eingebaut.
explain-amount-beside = { $count } × { $part } soll hinein, neben { $installed } eingebauten.
explain-fitted = { $sockets }: mit Prozessor.
explain-fitted-assumed = { $sockets }: ein Prozessor ist angenommen, da keiner angegeben ist.
explain-processor = { $sockets }: Prozessor { $processor }.
explain-processor-tried = { $sockets }: versucht mit { $processor }, kein Modell angegeben.
explain-socket-empty = { $sockets }: ohne Prozessor.
explain-firmware = Die Firmware ist { $version }.
explain-model-slots = Mit jedem Prozessormodell passt es, aber in keinen Slots, die zu allen passen.
explain-model-fits = Mit dem Prozessor { $processor } passt es.
explain-model-fits_with_warnings = Mit dem Prozessor { $processor } passt es, mit Warnungen.
explain-model-undecided = Mit dem Prozessor { $processor } lässt es sich noch nicht sagen.
explain-model-does_not_fit = Mit dem Prozessor { $processor } passt es nicht.
explain-mend = Die kleinste Änderung, die hilft, wie versucht:
explain-mend-perhaps = Was helfen kann, nicht versucht:
explain-mend-none = Keine der versuchten Änderungen hilft.
explain-rules = { $rules }.
explain-source = { $sentence } Quelle: { $source }.

working-ranks = Ränge, die zählen ({ $channels }): { $working }.
working-multiplied = Ränge von { $part }, die hinter dem Puffer zählen: { $working }.
working-capacity = Kapazität: { $working }.
working-slots = Module für die Steckplätze, die arbeiten: { $working }.
working-price = Preis: { $working }.
working-power = Spitzenleistung: { $working }.
working-free_slots = Steckplätze, die frei bleiben: { $working }.
working-rate = Datenrate: { $rate }, das niedrigste von dem, was Module ({ $rated }), Prozessor ({ $ceiling }) und Bestückung ({ $listed }) zulassen.
working-rate-no-processor = Datenrate: { $rate }, das niedrigere von dem, was Module ({ $rated }) und Bestückung ({ $listed }) zulassen.

record-generation = Die Steckplätze des Boards sind für { $value }.
record-ecc = Der Datensatz des Boards sagt, ob Module ECC brauchen.
record-accepts = Der Datensatz des Boards führt die Module auf, die es nimmt.
record-per_channel = Der Datensatz des Boards begrenzt, wie viele einer Sorte ein Kanal nimmt.
record-supply = Das Board stellt { $value } ein.
record-input = Die Steckplätze des Boards speisen { $value }.
record-lowest_rate = Die niedrigste Datenrate des Boards ist { $value }.
record-height = Das Board hat Platz für die Bauhöhe { $value }.
record-mixing = Der Datensatz des Boards sagt, was gemischt werden darf.
record-rank_budget = Ein Kanal des Boards sieht höchstens { $value } Ränge.
record-layouts = Der Datensatz des Boards führt die Positionsmuster auf.
record-rates = Der Datensatz des Boards führt die Datenraten auf.
record-processors = Der Datensatz des Boards führt die Prozessoren auf.
record-socket_order = Reihenfolge der Sockel: { $value }.
record-position_order = Reihenfolge der Positionen: { $value }.
record-channel_order = Reihenfolge der Kanäle: { $value }.
record-module_counts = Modulzahlen eines Sockels: { $value }.
record-board_capacity = Das Board nimmt höchstens { $value }.
record-socket_capacity = Ein Sockel nimmt höchstens { $value }.
record-slot_power = Ein Steckplatz ist für { $value } ausgelegt.
record-protections = Der Datensatz des Boards führt seine Schutzarten auf.
record-slots = Das Board hat { $value } Steckplätze.
record-slot_groups = Der Datensatz des Boards führt seine Steckplatzgruppen auf.

limit-largest = Höchstens { $count } × { $part } passt.
limit-removed = { $count ->
    [1] Dafür kommt ein eingebautes Modul heraus.
   *[other] Dafür kommen { $count } eingebaute Module heraus.
}
limit-none = Keine Anzahl von { $part } passt.
limit-stops = { $rules ->
    [1] Was { $count } davon verhindert:
   *[other] Was { $count } davon verhindert, jede von { $rules } Regeln für sich:
}
limit-stops-together = Was { $count } davon verhindert: diese { $rules } Regeln lassen sich nicht alle einhalten.
limit-next = Ohne das würden { $count } × { $part } passen; dann verhindert dies mehr:
table-limit = Was jede Anzahl von { $part } ergibt
column-count = Module
column-per_channel = höchstens je Kanal
column-usable = nutzbar
column-rate = Datenrate
column-uniform = Bandbreite, gleichmäßig gelesen
conflict-none = Nichts steht im Widerspruch.
conflict-given = Die Steckplätze sind vorgegeben; jede dieser Regeln lehnt sie deshalb für sich ab.
conflict-by-itself = Diese Regel schließt es für sich aus, gleich in welchen Steckplätzen:
conflict-not-all = Diese { $rules } Regeln lassen sich nicht alle einhalten, gleich in welchen Steckplätzen. Jede ist so verletzt, während die anderen eingehalten sind:
conflict-not-proven = Eine Suche wurde abgebrochen: vielleicht steht noch mehr im Weg.

compare-summary = Der erste Satz ist in { $first } Punkten besser, der zweite in { $second }; gleich sind sie in { $equal }.
compare-first = Der erste Satz:
compare-second = Der zweite Satz:
compare-blocked = Was ihm im Weg steht: { $rules }.
working-ranks-fullest = Ränge, die auf dem vollsten Kanal zählen: { $working }.
table-compare = Die beiden Sätze nebeneinander
column-what = Punkt
column-first = erster Satz
column-second = zweiter Satz
column-better = besser
count-board = Board
count-verdict = Urteil
count-usable = nutzbare Kapazität
count-rate = Datenrate
count-uniform = Bandbreite, gleichmäßig gelesen
count-peak = Spitzenbandbreite
count-modules = Module auf dem Board
count-free_slots = freie Steckplätze
count-fillers = nötige Platzhalter
count-power = Spitzenleistung
count-price = Preis
better-first = erster
better-second = zweiter
better-equal = gleich

# Das Arbeitsblatt. Jeder Schritt hat ein `.check`: woran man sieht, dass er getan ist.
worksheet-refused = Dafür gibt es kein Arbeitsblatt: so, wie gefragt, geht es nicht.
worksheet-find-out = Das ist herauszufinden, bevor etwas geöffnet wird:
worksheet-plan = { $count } × { $part }: { $slots }.
worksheet-marks = Schritte mit einem Zeichen vor der Nummer können jemanden verletzen oder etwas zerstören: bis zum Ende lesen, bevor man handelt. Es gelten die aufgedruckten Bezeichnungen der Steckplätze; die Reihenfolge ist die des Boards.
step-caution = Vorsicht
step-done = Getan, wenn: { $check }
phase-prepare = Bevor die Maschine geöffnet wird
phase-open = Öffnen
phase-take_out = Was bleibt und was herauskommt
phase-fit = Was hineinkommt, in dieser Reihenfolge
phase-close = Schließen
phase-report = Was die Maschine anzeigen soll
phase-otherwise = Wenn sie etwas anderes anzeigt

step-guide = Das Servicehandbuch des Herstellers für diese Maschine bereitlegen. Es und die örtlichen Vorschriften gehen diesem Blatt vor, und die Arbeit gehört in die Hände von Fachkräften.
    .check = Das Handbuch liegt beim Kapitel über den Speicher offen.
step-backup = Sichern, was auf der Maschine ist.
    .check = Eine Datei ist aus der Sicherung zurückgeholt und gelesen.
step-outage = Den Ausfall planen und allen sagen, die von der Maschine abhängen.
    .check = Ein Zeitpunkt ist vereinbart.
step-note-report = Speichern, was die Maschine jetzt über ihren Speicher meldet, um es später zu vergleichen.
    .check = Der Bericht liegt außerhalb der Maschine.
step-firmware = In den Systemeinstellungen nachsehen, ob die Firmware { $version } oder neuer ist; wenn nicht, sie zuerst erneuern.
    .check = Die Systemeinstellungen zeigen { $version } oder neuer.
step-lay-out = { $count } × { $part } in der antistatischen Verpackung bereitlegen und jedes Etikett lesen: { $label }.
    .check = { $count } liegen da, und jedes Etikett sagt das.
step-shut-down = Sich vergewissern, dass es die richtige Maschine ist. Das Betriebssystem herunterfahren und die Maschine ausschalten.
    .check = Das Schild der Maschine stimmt mit dem Auftrag überein, und die Lüfter stehen still.
step-disconnect = Jedes Stromkabel abziehen, auch die überzähligen.
    .check = Kein Kabel bringt Strom zur Maschine.
step-wait = So lange warten, wie das Handbuch sagt: Teile bleiben nach dem Abziehen geladen.
    .check = Die Zeit, die das Handbuch nennt, ist vorbei, und auf der Hauptplatine leuchtet keine Lampe.
step-lift = Die Maschine nur mit Hilfe herausziehen oder heben: sie ist schwer.
    .check = Sie steht sicher auf einem Tisch oder auf verriegelten Schienen.
step-static = Ein geerdetes Handgelenkband anlegen und auf einer antistatischen Matte arbeiten.
    .check = Band und Matte sind geerdet.
step-cover = Den Deckel abnehmen, auch die Luftführung, falls es eine gibt, und beides so ablegen, dass es nicht vergessen wird. Kühlkörper und Module können heiß sein, Blechkanten schneiden: abkühlen lassen und auf die Hände achten.
    .check = Nichts neben dem Speicher ist zu heiß zum Anfassen.
step-board-caution = Bei diesem Board zu beachten: { $caution }
    .check = Gelesen und verstanden.
step-find-slots = Die { $count } Speichersteckplätze finden ({ $board }). Ihre aufgedruckten Bezeichnungen reichen von { $first } bis { $last }. Wo dieses Blatt Position sagt, ist 1 am weitesten vom Prozessor entfernt.
    .check = Die Bezeichnung jedes Steckplatzes, den dieses Blatt nennt, ist zu lesen.
step-nothing-there = Ansehen, was da ist: noch kein Speichermodul, jeder Steckplatz ist leer oder trägt einen Platzhalter.
    .check = Kein Modul ist da. Ist doch eines da, aufhören, die Maschine wieder schließen und den fragen, der dieses Blatt gemacht hat: Es gilt für ein leeres Board.
step-there = Ansehen, was da ist: { $part } ({ $slots }).
    .check = Es ist da, soweit man es sieht, ohne es herauszuziehen. Ist etwas anderes da, aufhören, die Maschine wieder schließen und den fragen, der dieses Blatt gemacht hat: Es gilt für eine andere Maschine.
step-there-somewhere = Ansehen, was da ist: { $count } × { $part }, in Steckplätzen, die niemand genannt hat. Die Steckplätze aufschreiben.
    .check = { $count } sind gefunden und ihre Steckplätze aufgeschrieben.
step-no-other-there = Alle anderen Steckplätze ansehen: Sie sind leer oder tragen Platzhalter.
    .check = Kein anderes Modul ist da. Ist doch eines da, aufhören, die Maschine wieder schließen und den fragen, der dieses Blatt gemacht hat.
step-stays = { $slots }: { $part } bleibt, wo { $count ->
    [1] es ist
   *[other] sie sind
}.
    .check = Die Riegel dort sind zu.
step-how-out = Bei jedem Modul, das herauskommt: eine Hand auf dem Modul lassen und immer nur einen Riegel öffnen, damit es nicht herausspringt. An den Kanten fassen.
    .check = Beide Riegel des Steckplatzes stehen offen, bevor das Modul gehoben wird.
step-remove = { $slots }: { $part } endgültig herausnehmen. In einen antistatischen Beutel legen.
    .check = Auf dem Beutel steht der Steckplatz, aus dem es kommt.
step-lay-aside = { $slots }: { $part } herausnehmen und auf die Matte legen. Es kommt später in Steckplatz { $to }.
    .check = Es liegt auf der Matte, bezeichnet mit Steckplatz { $to }.
step-fillers-out = { $count ->
    [1] Den Platzhalter herausnehmen, falls einer da ist: { $slots }.
   *[other] Die Platzhalter herausnehmen, wo welche sind: { $slots }.
}
    .check = Diese Steckplätze sind frei.
step-how-in = Zuerst lesen; es gilt für jedes Modul, das hineinkommt. Beide Riegel des Steckplatzes öffnen. Das Modul an den Kanten fassen, die Kerbe über den Steg halten, beide Enden gleichmäßig drücken, bis beide Riegel von selbst schließen. Nie mit Gewalt: ein Modul, das nicht hineingeht, ist verdreht oder das falsche.
    .check = Es ist klar, wie die Riegel dieses Boards schließen.
step-key = Anfang: { $slots }. Bis dieses Blatt etwas anderes sagt, liegt der Steg, auf den die Kerbe treffen muss, in jedem Steckplatz näher am { $key ->
    [top] oberen
    [bottom] unteren
    [left] linken
   *[right] rechten
} Ende, das Board gesehen wie im Handbuch gezeichnet. Sieht ein Steckplatz anders aus, gilt der Steckplatz.
    .check = Der Steg ist zu sehen, und das Modul ist richtig herum in der Hand.
step-key-flips = Ab hier die Module umdrehen ({ $slots }): der Steg liegt näher am { $key ->
    [top] oberen
    [bottom] unteren
    [left] linken
   *[right] rechten
} Ende.
    .check = Der Steg ist auf dieser Seite zu sehen.
step-seat = { $slots }: { $part } einsetzen (Sockel { $socket }, Kanal { $channel }, Position { $position }).
    .check = Beide Riegel sind zu, und beide Enden des Moduls sitzen gleich tief.
step-seat-moved = { $slots }: { $part } wieder einsetzen, das aus Steckplatz { $from } (Sockel { $socket }, Kanal { $channel }, Position { $position }).
    .check = Beide Riegel sind zu, und beide Enden des Moduls sitzen gleich tief.
step-fillers = { $count ->
    [1] Ein Steckplatz bleibt leer und braucht einen Platzhalter: { $slots }. Einsetzen, wenn er fehlt.
   *[other] { $count } Steckplätze bleiben leer und brauchen je einen Platzhalter: { $slots }. Einsetzen, wo einer fehlt.
}
    .check = Jeder Steckplatz eines Sockels mit Prozessor trägt ein Modul oder einen Platzhalter.
step-look-over = Alle Steckplätze ansehen: { $count } Module, alle Riegel zu, kein Werkzeug und keine Schraube darin.
    .check = { $count } Module gezählt.
step-lid = Die Luftführung, falls es eine gibt, und den Deckel aufsetzen, bevor Strom anliegt.
    .check = Alles sitzt, wie das Handbuch zeigt.
step-power = Das Band ablegen, die Maschine mit Hilfe zurückstellen, die Stromkabel anschließen.
    .check = Alle Kabel stecken, und nur die Bereitschaftslampen leuchten.
step-start = Unten lesen, was bei Rauch oder Brandgeruch zu tun ist. Dann einschalten und die Systemeinstellungen öffnen. Der erste Start nach einer Änderung dauert einige Minuten, auf großen Maschinen länger: währenddessen den Strom nicht abschalten.
    .check = Die Seite der Systemeinstellungen ist zu sehen.
step-protection = Den Schutz ({ $protection }) in den Systemeinstellungen wählen und neu starten.
    .check = Die Systemeinstellungen zeigen ihn als aktiv.
step-capacity = Die Speicherkapazität ablesen.
    .check = Angezeigt sind { $installed } aus { $count } Modulen.
step-capacity-held-back = Die Speicherkapazität ablesen.
    .check = Angezeigt sind { $installed } aus { $count } Modulen, davon { $usable } nutzbar.
step-rate = Die Datenrate des Speichers ablesen.
    .check = Angezeigt sind { $rate }; manche Maschinen zeigen die Hälfte davon in MHz.
step-channels = Die Liste der Module mit der Tabelle der Kanäle unten vergleichen.
    .check = Jeder Steckplatz der Tabelle zeigt sein Modul, kein anderer zeigt eines.
step-log = Das Ereignisprotokoll ansehen und das Betriebssystem starten.
    .check = Das Protokoll hat keinen neuen Speicherfehler, und das Betriebssystem sieht die Kapazität oder ein wenig weniger.
step-danger = Rauch, Brandgeruch oder Funken: sofort jede Stromzufuhr trennen, innen nichts anfassen, Fachkräfte rufen.
    .check = Die Maschine ist ohne Strom.
step-no-start = Sie startet nicht in der Zeit, die das Handbuch nennt: ausschalten und öffnen in denselben Schritten wie oben, mit Band. Jedes neue Modul ansehen; wo ein Riegel offen steht, das Modul herausnehmen und neu einsetzen. Hilft das nicht, alles so einsetzen, wie es war, und die Maschine wie oben schließen.
    .check = Sie startet.
step-less = Sie zeigt weniger Speicher: die fehlenden Steckplätze aufschreiben, ausschalten und öffnen in denselben Schritten wie oben und diese Module neu einsetzen. Fehlt eines weiter, es in einem Steckplatz versuchen, der geht: Fehlt es auch dort, liegt es am Modul; fehlt ein anderes Modul in seinem Steckplatz, am Steckplatz.
    .check = Die Kapazität ist wie oben.
step-slower = Sie läuft langsamer: in den Systemeinstellungen nachsehen, ob eine niedrigere Datenrate, eine Sparstufe oder eine andere Spannung gewählt ist, und das auf automatisch stellen. Nie eine Spannung von Hand wählen.
    .check = Die Datenrate ist wie oben.
step-verify = Weicht noch etwas ab: den neuen Bericht der Maschine dem geben, der dieses Blatt gemacht hat: Mit dem Plan verglichen, nennt er jeden Steckplatz, der abweicht, und was dort zu versuchen ist.
    .check = Keine Abweichung bleibt.

table-channels = Was auf jedem Kanal sein soll
column-socket = Sockel
column-channel = Kanal
column-slots = Steckplätze
column-modules = Module
column-capacity = Kapazität

# Wörter des Kerns, die in Sätzen stehen.
word-with = mit
word-without = ohne
word-with-ecc = mit ECC
word-without-ecc = ohne ECC
word-a-channel = einem Kanal
word-a-socket = einem Sockel
word-the-board = dem ganzen Board
word-channel = Kanal
word-socket = Sockel
word-none = keiner
word-mirrored = Spiegelung
word-rank-spare = Ersatzrang
word-lockstep = Lockstep
word-any = beliebig viel
word-flat = flach
word-tall = hoch
word-capacity = Kapazität
word-ranks = Rängen
word-width = Bausteinbreite
word-kind = Bauart
word-part-number = Teilenummer
word-population = Bestückung
word-module = Modul
word-generation = Generation
word-kind-of-module = Bauart des Moduls
word-number-of-package-ranks = Zahl der Package-Ränge
word-height-of-the-stacks = Stapelhöhe
word-device-width = Bausteinbreite
word-die-density = Die-Dichte
word-number-of-ecc-bits = Zahl der ECC-Bits
word-rate = Datenrate
word-cas-latency = CAS-Latenz
word-supply-voltage = Versorgungsspannung
word-input-voltage = Eingangsspannung
word-timing = Timing
word-height-class = Höhenklasse
word-maker = Hersteller
word-package-ranks = Package-Ränge
word-package = Gehäuse
word-stack-height = Stapelhöhe
word-voltage = Spannung
word-module-letter = Modulbuchstabe
word-ecc-bits = ECC-Bits
word-spd-revision = SPD-Stand
word-raw-card = Raw Card
word-speed-bin = Geschwindigkeitsklasse
word-temperature-grade = Temperaturbereich
word-the-rate = der Datenrate
word-the-width-of-80-bits = der Breite von 80 Bit
word-1-1-v-and-the-rate = 1,1 V und der Datenrate
word-1-2-v-and-the-rate = 1,2 V und der Datenrate
word-the-voltage-and-the-rate = der Spannung und der Datenrate

severity-blocker = Hindernis
severity-warning = Warnung
severity-advice = Rat
severity-note = Hinweis
severity-unknown = offen

report-on = { $asked } auf { $board }
report-nothing-asked = Kein Modul
report-installed = { $modules } (eingebaut)
report-beside = { $added } neben { $installed } (eingebaut)
report-why = Warum
report-rule = Regel { $rule }; Quelle: { $source }
report-more = und { $count } mehr
report-given = Steckplätze wie angegeben
report-nearest = Die Platzierung, die am nächsten kommt
report-best = Wohin jedes Modul kommt
report-better-may-exist = Wohin jedes Modul kommt (eine bessere Anordnung ist möglich)
report-left-over = übrig: { $count } × { $part }
report-moved = eingebaute Module, die umziehen: { $count }
report-removed = eingebaute Module, die herauskommen: { $count }
report-outcome = Was herauskommt
report-capacity = Kapazität
report-capacity-line = { $installed } eingebaut, { $usable } nutzbar
report-capacity-protected = { $installed } eingebaut, { $usable } nutzbar mit Schutz durch { $protection }
report-rate = Datenrate
report-rate-at = { $rate } bei { $voltage }
report-limit = (Grenze: { $limits })
report-limit-module = die Auslegung von { $part }
report-limit-processor = der Prozessor { $model }
report-limit-population = was das Board für so viele Module und Ränge aufführt
report-bandwidth = Bandbreite
report-bandwidth-line = { $peak } Spitze, { $even } gleichmäßig gelesen
report-power = Leistung
report-power-line = { $typical } typisch, { $peak } Spitze
report-slots = Steckplätze
report-slots-line = { $free } frei, { $fillers } Platzhalter nötig
report-noted = Beim Lesen aufgefallen

# Zeichnungen eines Boards.
draw-title = { $board }: { $modules ->
    [1] ein Modul
   *[other] { $modules } Module
} in { $slots } Steckplätzen
draw-socket = Sockel { $socket }
draw-socket-with = Sockel { $socket }: { $processor }
draw-socket-empty = Sockel { $socket }: kein Prozessor
draw-channel = Kanal { $channel }
draw-processor = Prozessor
draw-processor-none = kein Prozessor
draw-goes-in = kommt hinein
draw-stays = bleibt
draw-filler = Platzhalter
draw-free = frei
draw-blocked = gesperrt
draw-no-processor = In diesem Sockel sitzt kein Prozessor; nichts erreicht seine Steckplätze.
draw-not-served = Der Prozessor bedient diesen Kanal nicht.
draw-ranks-used = Alle Ränge, die der Kanal sieht, sind verbraucht ({ $seen } von { $budget }): ein weiteres Modul wäre eines zu viel.
draw-part = { $count } × { $part }: { $build }
draw-key-order = Ring über einem Steckplatz: als wievielter er auf seinem Kanal gefüllt wird.
draw-key-channel = Klammer darunter: der Kanal.
draw-key-notch = Kleines Dreieck: das Ende, dem der Steg näher liegt.
draw-key-plus = Plus: kommt jetzt hinein. Ohne Plus: ist da und bleibt.
draw-key-filler = Platzhalter: ein leerer Steckplatz, der einen bekommt, damit die Luft über die Module streicht.

# Titel von Erklärungen.
explain-title = { $about }: { $subject }
about-verdict = Warum dieses Urteil
about-limit = Wie viele höchstens
about-compare = Zwei Sätze nebeneinander
about-choice = Warum nicht diese Bestückung
about-conflict = Warum nichts passt
about-worksheet = Arbeitsblatt
table-marked = diese

## Regeln. Ein Satz je Befund; `asks` beginnt mit „ob“; `title` und `doc` zeigt die Liste der Regeln.

balance-wish = { $sockets }: der Speicher ist nicht so gleichmäßig verteilt wie gewünscht. Ein { $unit } trägt { $least }, ein anderer { $most }.
    .asks = ob der Speicher so gleichmäßig verteilt ist wie gewünscht
    .title = Weniger gleichmäßig verteilt als gewünscht
    .doc = Gewünscht werden kann, dass alle Kanäle oder wenigstens alle Sockel gleich viel Speicher tragen. Dann verteilt sich jeder Zugriff auf gleich viele Kanäle.
    .source = Wunsch des Anfragenden
budget-wish = Die Module des Satzes kosten { $total }, das sind { $over } mehr als das Budget von { $budget }.
    .asks = ob der Satz im Budget bleibt
    .title = Über dem Budget
    .doc = Für die zu kaufenden Module kann ein Budget genannt werden. Es zählen Einzelpreise mal Anzahl; Preise in anderer Währung werden nicht umgerechnet und lassen die Frage offen.
    .source = Wunsch des Anfragenden
capacity-not-taken = { $module } hat { $found }. Von seiner Bauart nimmt dieses Board Module mit { $taken }.
    .asks = ob das Board Module dieser Kapazität nimmt
    .title = Eine Kapazität, die das Board nicht nimmt
    .doc = Ein Speichercontroller adressiert Module bis zu einer bestimmten Größe, und Hersteller geben die Größen frei, die sie geprüft haben. Ein Modul anderer Kapazität wird nicht oder nicht ganz eingerichtet.
    .source = die Kapazitäten, die ein Board nimmt, nennt sein Datensatz; gängige Praxis
capacity-over-board = Alle Module zusammen haben { $held }, mit den bestückten Prozessoren nimmt dieses Board aber höchstens { $ceiling }. Weniger oder kleinere Module wählen.
    .asks = ob der gesamte Speicher unter der Obergrenze des Boards bleibt
    .title = Mehr Speicher, als das Board nimmt
    .doc = Der Hersteller eines Boards unterstützt Speicher bis zu einer Obergrenze, die oft davon abhängt, wie viele Prozessoren bestückt sind. Was darüber liegt, bleibt ungenutzt oder verhindert den Start.
    .source = gängige Praxis; die Obergrenze selbst steht im Datensatz des Boards
capacity-over-processor = { $sockets }: die Module haben { $held }, mit { $processors } sind aber höchstens { $ceiling } adressierbar. Weniger oder kleinere Module oder ein anderes Prozessormodell wählen.
    .asks = ob jeder Prozessor den ganzen Speicher seines Sockels adressiert
    .title = Mehr Speicher, als der Prozessor adressiert
    .doc = Die Prozessormodelle eines Boards können verschieden viel Speicher adressieren. Was darüber liegt, bleibt ungenutzt oder verhindert den Start.
    .source = gängige Praxis; die Obergrenze eines Prozessormodells steht im Datensatz des Boards
capacity-over-socket = { $sockets }: die Module haben { $held }, dieses Board nimmt an einem Sockel aber höchstens { $ceiling }. Weniger oder kleinere Module wählen.
    .asks = ob der Speicher jedes Sockels unter der Obergrenze des Boards bleibt
    .title = Mehr Speicher, als das Board an einem Sockel nimmt
    .doc = Der Hersteller eines Boards unterstützt an jedem Sockel Speicher bis zu einer Obergrenze, was immer der Prozessor adressiert.
    .source = gängige Praxis; die Obergrenze selbst steht im Datensatz des Boards
capacity-wish = Die Module ergeben { $ceiling ->
    [1] höchstens { $usable }
   *[other] { $usable }
} nutzbaren Speicher; das verfehlt den Wunsch von { $wished } um { $ceiling ->
    [1] mindestens { $by }
   *[other] { $by }
}.
    .asks = ob so viel Speicher nutzbar ist wie gewünscht
    .title = Andere Kapazität als gewünscht
    .doc = Genannt werden kann, wie viel nutzbaren Speicher der Server mindestens und höchstens haben soll. Nutzbar ist, was unter dem verlangten Schutz auf funktionierenden Kanälen bleibt.
    .source = Wunsch des Anfragenden
channel-not-served = { $channels }: mit { $processors } arbeiten nur die Kanäle { $served }, die Module hier werden also nicht erreicht. Sie auf einen arbeitenden Kanal setzen oder ein anderes Prozessormodell einbauen.
    .asks = ob der Prozessor jeden Kanal bedient, auf dem Speicher sitzt
    .title = Speicher auf einem Kanal, den der Prozessor nicht hat
    .doc = Ein Board kann Prozessormodelle nehmen, die weniger Speicherkanäle haben, als Steckplätze da sind. Steckplätze eines Kanals, den das eingebaute Modell nicht bedient, sind tot, was immer in ihnen steckt.
    .source = gängige Praxis; die Kanäle eines Prozessormodells stehen im Datensatz des Boards
channels-left-empty = { $sockets }: von { $all } Kanälen { $empty ->
        [1] ist einer
       *[other] sind { $empty }
    } leer, während ein anderer { $most } Module trägt. Jeder leere Kanal lässt seinen Anteil der Bandbreite ungenutzt.
    .asks = ob Kanäle leer bleiben, während andere zwei Module tragen
    .title = Leere Kanäle neben doppelt bestückten
    .doc = Jeder Kanal bringt seine eigene Bandbreite; ein zweites Modul auf einem Kanal bringt keine und kann die Datenrate senken. Solange ein Kanal eines bestückten Sockels leer ist, gehört ein zweites Modul besser dorthin, es sei denn, das Handbuch des Boards verlangt das Muster.
    .source = Kanäle × Datenrate × 8 Byte; gemessene Anteile: Thomas-Krenn, STREAM Triad mit 2, 4 und 8 von 8 Kanälen: etwa 28 %, 54 % und 100 %
channels-out-of-order = { $channels }: bestückt, obwohl ein früherer Kanal leer ist. Dieses Board füllt die Kanäle eines Sockels in der Reihenfolge { $order }; Kanal { $next } ist vorher an der Reihe.
    .asks = ob die Kanäle eines Sockels in der Reihenfolge des Boards gefüllt sind
    .title = Kanäle in falscher Reihenfolge gefüllt
    .doc = Wo ein Board eine Reihenfolge seiner Kanäle angibt, gehören die ersten zusammen: sie verschränken sich und liegen so um den Prozessor, dass sich Zugriffe gleichmäßig verteilen. Ebenso viele andere Kanäle arbeiten auch, aber langsamer.
    .source = gängige Praxis; die Reihenfolge selbst steht im Datensatz des Boards
channels-unequal = { $sockets }: der vollste Kanal trägt { $most }, der leerste benutzte { $least }. Was darüber hinausgeht, verteilt sich auf weniger Kanäle: gleichmäßig gelesen liefert der Speicher { $loss } weniger, als diese Kanäle könnten.
    .asks = ob die Kanäle eines Sockels gleich viel tragen
    .title = Kanäle eines Sockels tragen verschieden viel
    .doc = Speicher verteilt sich reihum nur so weit auf alle Kanäle, wie sie gleich viel tragen; was einer darüber hinaus trägt, verteilt sich auf weniger Kanäle oder liegt auf einem allein und wird langsamer gelesen. Gleiche Kanäle geben die volle Bandbreite. Wo leere Kanäle neben doppelt bestückten stehen, wird stattdessen das gemeldet.
    .source = veröffentlichter Leitfaden P2: der Überschuss eines größeren Kanals bleibt außerhalb des Satzes; der Verlust folgt rechnerisch
chip-correction-lost = { $part } ({ $build }): der Ausfall eines ganzen Bausteins darauf lässt sich nicht korrigieren. Dazu braucht es Bausteine der Breite { $needed } mit vollem ECC.
    .asks = ob sich der Ausfall eines ganzen Bausteins korrigieren lässt
    .title = Der Ausfall eines Bausteins ist nicht korrigierbar
    .doc = Die ECC-Bits eines Kanals können alle Bits eines ausgefallenen Bausteins nur wiederherstellen, wenn er wenige Bits zu jedem Wort beiträgt: mit x4-Bausteinen und vollem ECC oder mit x8-Bausteinen auf Kanälen im Lockstep. Mit breiteren Bausteinen oder halb so vielen ECC-Bits (EC4 bei DDR5) hält ein ausgefallener Baustein den Server an.
    .source = veröffentlichter Leitfaden P1, Tabelle 77: x4 immer, x8 nur mit zwei verbundenen Kanälen, breiter nie; zu EC4 bei DDR5: aus dem Gedächtnis
die-densities-mixed = { $place }: Module mit Dies von { $found } sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } Module einer einzigen Die-Dichte.
    .asks = ob Module verschiedener Die-Dichte zusammenkommen
    .title = Die-Dichten gemischt
    .doc = Dies verschiedener Dichte haben verschieden viele Zeilen und Bänke. Manche Speichercontroller übersetzen Adressen auf einem Kanal nur für eine Geometrie; manche DDR5-Server nehmen Dies von 16 Gbit nicht zusammen mit dichteren.
    .source = veröffentlichte Firmware-Quelle F2: eine Geometrie je Port; die Vorgabe selbst steht im Datensatz des Boards
die-density-not-taken = { $module } hat Dies von { $found }. Von sonst gleichen Modulen nimmt dieses Board die mit Dies von { $taken }.
    .asks = ob das Board Module dieser Die-Dichte nimmt
    .title = Eine Die-Dichte, die das Board nicht nimmt
    .doc = Dichtere Dies brauchen mehr Adressbits und längere Auffrischzeiten. Ein Speichercontroller, der älter ist als der Die, kennt sie nicht; ein Modul der richtigen Kapazität kann trotzdem unbrauchbar sein.
    .source = gängige Praxis; die Die-Dichten, die ein Board nimmt, stehen in seinem Datensatz
ecc-bits-mixed = { $place }: Module mit einer ECC-Breite von { $found } Bit sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } eine einzige ECC-Breite.
    .asks = ob EC4- und EC8-Module zusammenkommen
    .title = EC4 und EC8 gemischt
    .doc = Ein DDR5-Modul hat auf jedem Teilkanal vier oder acht Prüfbits. Der Speichercontroller rechnet einen Code für alle: mit EC4 unter EC8 fällt er auf den schwächeren zurück oder startet nicht. Module ganz ohne Prüfbits meldet eine andere Regel.
    .source = gängige Praxis; die Vorgabe selbst steht im Datensatz des Boards
ecc-bits-not-taken = { $module } hat auf jedem Teilkanal eine ECC-Breite von { $found } Bit. Von sonst gleichen Modulen nimmt dieses Board die mit einer ECC-Breite von { $taken } Bit.
    .asks = ob das Board Module mit so vielen ECC-Bits nimmt
    .title = Eine Zahl von ECC-Bits, die das Board nicht nimmt
    .doc = Ein DDR5-Modul mit ECC hat auf jedem Teilkanal vier (EC4) oder acht (EC8) Prüfbits. Die Korrektur, die ein Speichercontroller rechnet, ist für eines davon gemacht, und ein Board kann nur dieses nehmen.
    .source = gängige Praxis; die ECC-Bits, die ein Board nimmt, stehen in seinem Datensatz
ecc-differs = { $module } ist ein Modul { $found } ECC, dieses Board startet aber nur mit Modulen { $needed } ECC. Ein Modul { $needed } ECC wählen.
    .asks = ob das Modul das ECC hat, das das Board braucht
    .title = ECC ist nicht, wie das Board es braucht
    .doc = Module mit ECC tragen zusätzliche Bausteine für Prüfbits. Ein Board, das Fehler korrigiert, braucht sie auf jedem Modul und startet mit anderen nicht; ein Board ohne ECC kann Module ablehnen, die es haben. Die Korrektur im Inneren eines DDR5-Bausteins ist kein ECC.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8; was ein Board braucht, steht in seinem Datensatz
ecc-mixed = { $place }: Module { $found } sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } entweder lauter Module mit ECC oder lauter Module ohne.
    .asks = ob Module mit und ohne ECC zusammenkommen
    .title = Module mit und ohne ECC gemischt
    .doc = Ein Kanal korrigiert Fehler nur, wenn jedes Modul Prüfbits hat. Mit einem Modul ohne ECC startet der Server entweder nicht oder lässt allen Speicher unbemerkt ohne Korrektur laufen. Auf einem Board, das ECC verlangt oder ablehnt, wird das Modul selbst abgelehnt.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8, verbietet die Mischung; veröffentlichte Firmware-Quelle F3 schaltet ECC ab
fewer-than-advised = { $sockets }: an diesem Prozessor sitzen { $count } Module; der Hersteller rät zu mindestens { $least }, da Kanäle ohne Speicher keine Bandbreite bringen.
    .asks = ob jeder Sockel so viele Module hat, wie der Hersteller rät
    .title = Weniger Module, als der Hersteller rät
    .doc = Ein Prozessor mit vielen Kanälen läuft mit einem einzigen Modul und verschenkt dabei den größten Teil seiner Bandbreite. Manche Hersteller nennen neben den unterstützten Zahlen auch die kleinste, zu der sie raten.
    .source = gängige Praxis; die Zahl steht im Datensatz des Boards
module-switched-off = { $module } wurde von der Firmware der Maschine abgeschaltet: es gibt keinen Speicher und belastet seinen Kanal trotzdem. Das Ereignisprotokoll lesen; bei getrennter Stromzufuhr neu einsetzen, bis beide Riegel schließen, oder herausnehmen.
    .asks = ob die Firmware das Modul abgeschaltet hat
    .title = Ein Modul, das die Firmware abgeschaltet hat
    .doc = Die Firmware schaltet ein Modul ab, das ihre Prüfung nicht bestand oder zu viele Fehler zeigte. Es belastet weiter seinen Kanal und gibt keinen Speicher. Das Ereignisprotokoll der Maschine sagt, warum; oft sitzt das Modul nicht ganz im Steckplatz.
    .source = gängige Praxis
slot-groups-differ = { $sockets }: die Module unterscheiden sich ({ $slots }). Sie sitzen in der Steckplatzgruppe { $name }, deren Module gleich sein müssen in { $alike }.
    .asks = ob die Module jeder Steckplatzgruppe gleich sind
    .title = Module einer Steckplatzgruppe unterscheiden sich
    .doc = Manche Hersteller verkaufen und unterstützen Module nach Steckplatzgruppen, die kein Kanal sind: die Module einer Gruppe werden gemeinsam eingerichtet und müssen in dem gleich sein, was der Hersteller nennt.
    .source = gängige Praxis; die Gruppen, und was gleich sein muss, stehen im Datensatz des Boards
switched-off-beside-others = { $sockets }: die Firmware hat ein Modul abgeschaltet ({ $slots }). Es teilt die Leitungen der Gruppe { $name } mit arbeitenden Modulen (Anzahl: { $count }), die es mitreißt. Es herausnehmen.
    .asks = ob ein abgeschaltetes Modul andere mitreißt
    .title = Ein abgeschaltetes Modul reißt andere mit
    .doc = Die Firmware schaltet ein Modul ab, das ihre Prüfung nicht besteht, aber es bleibt auf den Leitungen, die es teilt: wo Steckplätze eine Reset-Leitung oder einen Port teilen, reißt ein vorhandenes, abgeschaltetes Modul die arbeitenden neben ihm mit. Bei einer Reparatur kommt das ausgefallene Modul heraus und bleibt nicht stecken.
    .source = veröffentlichte Firmware-Quelle F2 (Steckregeln der Speicherprozeduren); welche Steckplätze zusammengehören, steht im Datensatz des Boards
fillers-to-order = Dieses Board braucht in jedem leeren Steckplatz eines bestückten Sockels einen Platzhalter: insgesamt { $count }.
    .asks = ob leere Steckplätze Platzhalter brauchen
    .title = Platzhalter für leere Steckplätze
    .doc = Manche Boards brauchen in jedem leeren Steckplatz eines bestückten Sockels einen Platzhalter, damit die Luft über die Module streicht und nicht an ihnen vorbei. Platzhalter aus Steckplätzen, die jetzt belegt werden, aufheben; nur die fehlenden bestellen.
    .source = gängige Praxis; ob ein Board Platzhalter braucht, steht in seinem Datensatz
firmware-not-told = { $module } braucht auf diesem Board Firmware { $needed } oder neuer. Die vorhandene Version ist nicht angegeben: vor dem Einbau prüfen.
    .asks = ob das Modul eine bestimmte Firmware-Version braucht
    .title = Das Modul braucht eine Firmware-Version, die niemand angegeben hat
    .doc = Das Board nimmt das Modul erst ab einer bestimmten Firmware-Version, und die Anfrage sagt nicht, welche das Board hat. Sie im Setup oder im Inventarbericht ablesen und, wenn sie älter ist, vor dem Einbau aktualisieren.
    .source = gängige Praxis; die Versionen stehen im Datensatz des Boards
firmware-too-old = { $module } braucht auf diesem Board Firmware { $needed } oder neuer, vorhanden ist { $found }. Die Firmware vor dem Einbau aktualisieren.
    .asks = ob die Firmware des Boards das Modul kennt
    .title = Firmware älter, als das Modul braucht
    .doc = Die Firmware des Boards stimmt die Module beim Start ab und muss ihren Aufbau kennen. Neue Größen, gestapelte und schnellere Module kamen mit Aktualisierungen. Mit den alten Modulen noch im Server und nach dem Handbuch des Board-Herstellers aktualisieren: ein neues Modul kann den Start verhindern, und dann geht es nicht mehr.
    .source = gängige Praxis; die Versionen stehen im Datensatz des Boards
first-socket-empty = { $sockets }: hier sitzt kein Prozessor, obwohl dieses Board einen braucht, bevor ein späterer Sockel benutzt wird. Es füllt seine Sockel in der Reihenfolge { $order }.
    .asks = ob die Sockel in der Reihenfolge des Boards bestückt sind
    .title = Ein früherer Sockel hat keinen Prozessor
    .doc = Der erste Sockel startet den Server und trägt, wovon er startet; spätere hängen an ihm. Ein Board, das mit einigen leeren Sockeln läuft, verlangt die Prozessoren und mit ihnen den Speicher in der Reihenfolge seines Datensatzes.
    .source = gängige Praxis; die Reihenfolge der Sockel steht im Datensatz des Boards
free-slots-wish = Der Wunsch nach freien Steckplätzen ({ $wished }) ist verfehlt: die Module lassen { $free } frei. Weniger und größere Module lassen mehr.
    .asks = ob so viele Steckplätze frei bleiben wie gewünscht
    .title = Weniger freie Steckplätze als gewünscht
    .doc = Gewünscht werden kann, dass Steckplätze für später frei bleiben. Es zählen nur solche, die ein bestückter Prozessor bedient.
    .source = Wunsch des Anfragenden
generation-differs = { $module } ist { $found }, die Steckplätze dieses Boards sind aber für { $needed }. Die Kerbe sitzt woanders: das Modul passt nicht hinein und darf nicht mit Gewalt eingesetzt werden.
    .asks = ob das Modul von der DDR-Generation des Boards ist
    .title = Andere DDR-Generation
    .doc = DDR3-, DDR4- und DDR5-Module unterscheiden sich in Signalen, Spannung und Lage der Kerbe; ein Modul der einen Generation passt nicht in einen Steckplatz der anderen. DDR4 und DDR5 haben sogar gleich viele Kontakte. Nie ein Modul mit Gewalt einsetzen: Steckplatz, Modul und Board können Schaden nehmen.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8 (Generationen nicht mischbar); Lage der Kerbe: gängige Praxis
height-over-limit = { $module } ist von der Höhenklasse { $found }, über den Steckplätzen dieses Boards ist aber nur Platz bis { $most }.
    .asks = ob das Modul niedrig genug für den Platz über den Steckplätzen ist
    .title = Höher als der Platz über den Steckplätzen
    .doc = In einem flachen Gehäuse oder unter einem Luftkanal ist nur Platz für Module bis zu einer bestimmten Höhe. Ein höheres lässt Deckel oder Luftkanal nicht schließen, drückt auf das Board oder steht im Kühlluftstrom.
    .source = gängige Praxis; der Platz über den Steckplätzen steht im Datensatz des Boards
installed-slot-not-told = Einige eingebaute Module sollen in ihren Steckplätzen bleiben, aber welche das sind, ist nicht angegeben.
    .asks = ob die eingebauten Module in ihren Steckplätzen bleiben dürfen, die niemand angegeben hat
    .title = Der Steckplatz eines eingebauten Moduls ist nicht angegeben
    .doc = Wenn eingebaute Module an ihrem Platz bleiben, kommt es darauf an, wo sie sitzen: sie belegen Steckplätze und bestimmen, was neben ihnen sitzen darf. Den Steckplatz angeben oder erlauben, dass sie umziehen.
    .source = gängige Praxis
slot-contents-not-told = Der Bericht lässt einige Steckplätze bestückter Sockel aus; was darin steckt, ist also nicht angegeben.
    .asks = ob die Steckplätze leer sind, die der Bericht auslässt
    .title = Was in einigen Steckplätzen steckt, ist nicht angegeben
    .doc = Ein Bericht, der Steckplätze eines bestückten Sockels auslässt, sagt nicht, dass sie leer sind: er kann abgeschnitten oder nur zum Teil geschickt sein. Ein Modul darin belegt seinen Steckplatz, belastet seinen Kanal und bestimmt, was neben ihm sitzen darf. Den ganzen Bericht schicken oder aufzählen, was eingebaut ist. Kommt alles Eingebaute heraus, ist es gleichgültig.
    .source = DSP0134 (SMBIOS), 7.18: ein Speichergerät für jeden Steckplatz, bestückt oder nicht
interleave-regions-split = { $sockets }: die benutzten Kanäle sind kein Satz, der sich als Ganzes verschränkt; der Speicher zerfällt in { $regions } Bereiche. Gleichmäßig gelesen liefert er { $loss } weniger, als diese Kanäle könnten.
    .asks = ob sich die benutzten Kanäle als ein Satz verschränken
    .title = Der Speicher zerfällt in mehrere Bereiche
    .doc = Speichercontroller verteilen Adressen nur über bestimmte Sätze von Kanälen. Die richtige Zahl gleicher Module auf den falschen Kanälen, oder eine Zahl ohne Satz, zerfällt in Bereiche, die nacheinander gelesen werden. Die Module auf die Kanäle eines Satzes zu setzen behebt das. Ungleiche Kanäle meldet ihre eigene Regel.
    .source = veröffentlichter Leitfaden P2: die Sätze, die sich verschränken; die Sätze selbst stehen im Datensatz des Boards, der Verlust folgt rechnerisch
kind-not-taken = { $module } ist von der Bauart { $found }. Dieses Board nimmt { $taken } und startet mit keiner anderen Bauart.
    .asks = ob das Board diese Bauart von Modulen nimmt
    .title = Eine Bauart, die das Board nicht nimmt
    .doc = UDIMM, RDIMM und LRDIMM setzen verschiedene Schaltungen zwischen Bausteine und Kanal, und der Speichercontroller muss dafür gebaut und eingerichtet sein. Module anderer Bauart starten nicht, auch wenn sie in den Steckplatz passen.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8; die Bauarten, die ein Board nimmt, stehen in seinem Datensatz
kinds-mixed = { $place }: { $found } sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } Module einer einzigen Bauart.
    .asks = ob Module verschiedener Bauart zusammenkommen
    .title = Bauarten gemischt
    .doc = Der Speichercontroller richtet einen Kanal für eine Bauart ein: RDIMM und LRDIMM, oder eine davon mit UDIMM, brauchen verschiedene Befehle und Zeiten. Hersteller verbieten die Mischung im ganzen Server, und er startet damit nicht. Module mit und ohne ECC meldet eine andere Regel.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8; veröffentlichte Firmware-Quelle F3 lehnt die Mischung ab
layout-not-listed = { $place }: { $found } ist kein Positionsmuster, das der Hersteller dieses Boards aufführt, gezählt von dem Steckplatz, der am weitesten vom Prozessor entfernt ist. Er führt auf: { $listed }.
    .asks = ob der Hersteller das Positionsmuster eines Kanals aufführt
    .title = Ein Positionsmuster, das der Hersteller nicht aufführt
    .doc = Manche Hersteller führen Position für Position auf, was ein Kanal tragen darf, und unterstützen nichts anderes. Die Zahl der Module kann stimmen und ihr Platz falsch sein: zwei Module gehören vielleicht in den fernen und den nahen Steckplatz mit leerer Mitte, ein Modul mit vier Rängen vielleicht in die Mitte.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8.9.5.8 (nicht Aufgeführtes ist ungültig), Tabellen 49, 64 und 65
licence-ceiling = Die Module ergeben { $usable } nutzbaren Speicher, Betriebssystem oder Lizenz nutzen aber höchstens { $ceiling }: { $idle } lägen brach.
    .asks = ob der Speicher innerhalb dessen bleibt, was Betriebssystem oder Lizenz nutzen
    .title = Mehr Speicher, als die Lizenz abdeckt
    .doc = Ausgaben von Betriebssystemen und Hypervisoren nutzen Speicher bis zu einer Obergrenze, die ihre Lizenz setzt. Was darüber liegt, ist bezahlt und liegt brach. Die Obergrenze nennt der Anfragende.
    .source = gängige Praxis; die Obergrenze nennt der Anfragende
low-voltage-raised = { $raised } könnte mit { $low } laufen, { $others } aber nicht; deshalb laufen alle Module mit { $set } und nehmen mehr Leistung auf.
    .asks = ob andere Module die Spannung sparsamer Module anheben
    .title = Niederspannungsmodule laufen mit höherer Spannung
    .doc = Eine Versorgungsspannung speist alle Module. DDR3-Niederspannungsmodule sind auch für 1,5 V gemacht und laufen damit, sobald ein Modul auf dem Board nicht niedriger laufen kann. Das schadet nicht, kostet aber Leistung.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8.9.1; DDR3L-Datenblätter lassen 1,5 V zu (veröffentlichtes Datenblatt D1, Anmerkung 2)
lower-rank-first = { $slots }: ein Modul mit weniger Rängen ({ $low }) sitzt in einer Position, die vor der eines Moduls mit mehr Rängen ({ $high }) gefüllt wird. Dieses Board verlangt das Modul mit den meisten Rängen zuerst; die beiden tauschen.
    .asks = ob die Module eines Kanals nach Rängen geordnet sind
    .title = Weniger Ränge sitzen vor mehr Rängen
    .doc = Hersteller mancher Boards verlangen das Modul mit den meisten Rängen in der Position des Kanals, die zuerst gefüllt wird, wo seine Last am besten getrieben wird. Wo der Hersteller für eine Bauart genaue Positionsmuster aufführt, gelten stattdessen diese.
    .source = gängige Praxis; ob es gilt, steht im Datensatz des Boards
module-count-not-supported = { $sockets }: die Zahl der Module ({ $count }) gehört nicht zu denen, die dieses Board an einem Sockel unterstützt ({ $supported }). Am nächsten liegen { $nearest }.
    .asks = ob die Zahl der Module an jedem Sockel unterstützt wird
    .title = Eine Zahl von Modulen, die der Hersteller nicht unterstützt
    .doc = Die Speichercontroller eines Prozessors fassen Kanäle in festen Sätzen zusammen; deshalb führen Hersteller die Modulzahlen eines Sockels auf, für die es einen Satz gibt. Andere werden abgelehnt oder lassen einen Teil des Speichers langsam. Ein Board, auf dem sie nur langsamer laufen, senkt dies zu einer Warnung.
    .source = gängige Praxis; die Zahlen selbst stehen im Datensatz des Boards
module-faster-than-run = { $part } ist für { $rated } ausgelegt, läuft hier aber mit { $rate }: das langsamste Modul erlaubt { $slowest }, das Board bei dieser Bestückung { $listed }, der Prozessor { $processor }.
    .asks = ob ein Modul für mehr ausgelegt ist, als es läuft
    .title = Bezahlt für Geschwindigkeit, die nicht genutzt wird
    .doc = Speicher läuft mit der niedrigsten von vier Grenzen: Auslegung des langsamsten Moduls, Grenze des Prozessors, Grenze des Boards für so viele Module und Ränge auf einem Kanal bei der eingestellten Spannung, und ein langsamerer Nachbar, an den sich die Rate angleicht. Ein schnelleres Modul läuft trotzdem, aber ein langsameres und oft billigeres täte es auch. Für Module, die nicht gekauft werden, ist dies ein Hinweis. Wo weniger Module auf einem Kanal die volle Auslegung nutzen würden, wird stattdessen das gemeldet.
    .source = veröffentlichter Leitfaden P1, 2.8.9.4, und veröffentlichte Firmware-Quelle F1, mtspd3.c: die Rate ist das Minimum mehrerer Grenzen
module-input-differs = { $module } nimmt { $found } auf, die Steckplätze dieses Boards liefern aber { $needed }. Es passt nicht hinein und darf nicht mit Gewalt eingesetzt werden.
    .asks = ob das Modul die Spannung aufnimmt, die die Steckplätze liefern
    .title = Der Steckplatz liefert eine andere Spannung, als das Modul aufnimmt
    .doc = Ein DDR5-Modul erzeugt seine Versorgungsspannung selbst, als RDIMM aus 12 V, als UDIMM aus 5 V. Auch die Kerbe sitzt anders, das eine passt also nicht in einen Steckplatz für das andere und darf nicht mit Gewalt eingesetzt werden: die falsche Spannung zerstört das Modul.
    .source = gängige Praxis (aus dem Gedächtnis: JESD305 für RDIMM, JESD308 für UDIMM)
modules-left-over = Am Ende nicht auf dem Board: { $parts }, insgesamt { $count }.
    .asks = ob Module übrig bleiben
    .title = Module bleiben übrig
    .doc = Eingebaute Module, die herauskommen, und Module des Satzes, die keinen Steckplatz fanden, bleiben übrig: sie lassen sich verkaufen, als Ersatz aufheben oder aus der Bestellung nehmen.
    .source = gängige Praxis
more-modules-than-slots = Die einzusetzenden Module ({ $modules }) übersteigen die Steckplätze, die ein bestückter Prozessor bedient ({ $slots_that_work }), um { $over }. Weniger und größere Module wählen.
    .asks = ob für jedes Modul ein Steckplatz da ist
    .title = Mehr Module als Steckplätze
    .doc = Nur Steckplätze auf Kanälen, die ein bestückter Prozessor bedient, sind nutzbar. Eingebaute Module, die bleiben, belegen einige davon.
    .source = gängige Praxis
no-common-timing = { $channels }: bei { $rate } brauchen die Module ({ $parts }) eine CAS-Latenz von { $needed } Takten oder mehr, aber innerhalb der Obergrenze des Standards gibt es keine, die alle unterstützen. Ein langsamerer Takt oder ausgelassene Module sind zu erwarten.
    .asks = ob die Module eine gemeinsame CAS-Latenz haben
    .title = Keine gemeinsame CAS-Latenz
    .doc = Module mit gleichem Takt warten auch gleich viele Takte auf ihre Daten. Das langsamste bestimmt, wie viele es mindestens sind; jedes Modul muss diese Zahl oder eine gemeinsame höhere aufführen, und die Zeit muss unter der Obergrenze des Standards bleiben: 20 ns bei DDR3, 18 ns bei DDR4, 21,5 ns bei gestapeltem DDR4. Sonst nimmt die Firmware einen langsameren Takt oder lässt Module aus. Ohne SPD-Zeiten sagt die Regel nichts; deshalb warnt sie und lehnt nicht ab, denn sonst machte das Weglassen der Zeiten aus einer Ablehnung einen passenden Satz.
    .source = veröffentlichte Firmware-Quelle F3; veröffentlichte Firmware-Quelle F2: die gemeinsame Latenz
pack-not-multiple = { $part } wird in Packungen zu { $pack } verkauft; die verlangten { $quantity } sind kein Vielfaches davon, { $next } wären es.
    .asks = ob die Anzahl ein Vielfaches der Packung ist
    .title = In dieser Anzahl nicht erhältlich
    .doc = Manche Module werden in Packungen verkauft, etwa paarweise. Eine Anzahl, die kein Vielfaches der Packung ist, lässt sich nicht bestellen; beim nächsten Vielfachen bleiben welche übrig.
    .source = gängige Praxis
part-numbers-mixed = { $place }: verschiedene Teilenummern sind gemischt ({ $found }). Der Hersteller dieses Boards verlangt auf { $scope } eine einzige Teilenummer.
    .asks = ob Module verschiedener Teilenummern zusammenkommen
    .title = Teilenummern gemischt
    .doc = Module einer Teilenummer verhalten sich gleich; Abstimmung beim Start und spätere Fehlersuche sind einfacher. Die meisten Hersteller raten nur dazu, dann ist eine Mischung hier ein Rat; verlangt ein Hersteller gleiche Module, ist sie ein Hindernis.
    .source = Trusted Firmware-A, NXP ddr.c verlangt gleiche Module; sonst gängige Praxis
position-skipped = { $slots }: Position { $filled } des Kanals ist belegt, während Position { $empty } leer ist. Dieses Board füllt die Positionen eines Kanals in der Reihenfolge { $order }, gezählt vom fernen Ende.
    .asks = ob die Positionen eines Kanals in der Reihenfolge des Boards gefüllt sind
    .title = Eine Position ist vor einer früheren belegt
    .doc = Die Positionen eines Kanals füllen sich in der Reihenfolge, die der Hersteller des Boards angibt, meist vom fernen Ende des Kanals her: ein leeres fernes Ende spiegelt das Signal. Wo der Hersteller für eine Bauart genaue Positionsmuster aufführt, gelten diese anstelle der Reihenfolge.
    .source = veröffentlichter Leitfaden P1, Tabellen 49 und 64: ein einzelnes Modul sitzt in der fernen Position; die Reihenfolge selbst steht im Datensatz des Boards
power-wish = Alle Module zusammen nehmen bis zu { $power } auf, das sind { $over } mehr als die gewünschten { $wished }.
    .asks = ob die Module unter der gewünschten Leistung bleiben
    .title = Mehr Leistung als gewünscht
    .doc = Genannt werden kann, wie viel Leistung alle Module zusammen in der Spitze aufnehmen dürfen, etwa um unter der Grenze eines Netzteils oder eines Schranks zu bleiben. Es ist die Summe der Spitzenleistungen der Module.
    .source = Wunsch des Anfragenden
processor-models-mixed = In den Sockeln stecken verschiedene Prozessormodelle ({ $processors }), die dieses Board nicht zusammen nimmt. In jeden Sockel dasselbe Modell setzen.
    .asks = ob in allen Sockeln dasselbe Prozessormodell steckt
    .title = Prozessormodelle gemischt
    .doc = Ein Board mit mehreren Sockeln verlangt in jedem dasselbe Modell, wenn sein Hersteller nichts anderes sagt: verschiedene Modelle starten vielleicht nicht oder laufen wie das schwächere. Ein Board, dessen Hersteller es erlaubt, senkt in seinem Datensatz die Schwere.
    .source = gängige Praxis

processor-lowers-rate = Mit { $processors } läuft der Speicher höchstens mit { $rate }; Module und Board würden { $faster } erlauben.
    .asks = ob der Prozessor den Speicher bremst
    .title = Der Prozessor bremst den Speicher
    .doc = Der Speichercontroller eines Prozessors hat eine eigene höchste Datenrate. Wo Module und Board mehr erlauben würden, liefe der Speicher nur mit einem anderen Prozessormodell schneller; mit diesem täten es auch langsamere Module.
    .source = veröffentlichter Leitfaden P1, 2.8.9.4: die Grenze des Prozessors ist eine von mehreren; sie steht im Datensatz des Boards
product-lines-mixed = { $place }: Module der Produktlinien { $found } sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } eine einzige Produktlinie.
    .asks = ob Module verschiedener Produktlinien zusammenkommen
    .title = Produktlinien gemischt
    .doc = Ein Serverhersteller kann zwei Linien von Modulen gleicher Organisation verkaufen, von denen eine mit zwei Modulen je Kanal ihre Datenrate hält. Ihre Einstellungen unterscheiden sich, und der Hersteller unterstützt sie nicht zusammen.
    .source = gängige Praxis; die Vorgabe selbst steht im Datensatz des Boards
dram-makers-mixed = { $place }: DRAM der Hersteller { $found } ist gemischt. Der Hersteller dieses Boards verlangt auf { $scope } einen einzigen DRAM-Hersteller.
    .asks = ob Module mit DRAM verschiedener Hersteller zusammenkommen
    .title = DRAM-Hersteller gemischt
    .doc = Die größten Module arbeiten nahe an den Grenzen eines Kanals, und DRAM zweier Hersteller lässt sich dort womöglich nicht gemeinsam einmessen. Manche Serverhersteller verlangen für Module ab einer bestimmten Kapazität DRAM eines einzigen Herstellers, gleich wer die Module gebaut hat. Namen werden so verglichen, wie sie geschrieben sind.
    .source = veröffentlichte Firmware-Quelle F2: Module von 128 GB an einem Port brauchen einen einzigen DRAM-Hersteller; die Vorgabe selbst steht im Datensatz des Boards
persistent-memory-apart = { $part } ist ein NVDIMM-N: sein Speicher wird als nichtflüchtiger Speicher angeboten und zählt hier nicht als Arbeitsspeicher.
    .asks = ob der Speicher eines Moduls Arbeitsspeicher ist
    .title = Nichtflüchtiger Speicher ist kein Arbeitsspeicher
    .doc = Ein NVDIMM-N kopiert sein DRAM bei Stromausfall in Flash. Die Firmware bietet es dem Betriebssystem als nichtflüchtigen Speicher neben dem Arbeitsspeicher an: es belegt einen Steckplatz und belastet seinen Kanal, aber Programme, die Arbeitsspeicher brauchen, bekommen es nicht. Es braucht einen Energiespeicher und kann Daten seines letzten Besitzers enthalten.
    .source = JEDEC JESD245 benennt die Schnittstelle (Titel aus dem Gedächtnis); dass die Firmware ihn getrennt führt: gängige Praxis
protection-leaves-nothing = { $sockets }: unter Schutz durch { $asked } ist von { $installed } nichts nutzbar, weil keine Gruppe von Kanälen, die arbeiten, gleich mit Modulen bestückt ist, die Speicher geben.
    .asks = ob der Schutz Speicher übrig lässt
    .title = Der Schutz lässt keinen Speicher übrig
    .doc = Manche Firmware lässt den Speicher von Kanälen weg, die keinen gleich bestückten Partner haben. Ist keine Gruppe von Kanälen eines Prozessors gleich mit Modulen bestückt, die Speicher geben, bleibt ihm keiner. Wo andere welchen haben können, wiegt das so viel wie auf dem Board ein Prozessor ohne Speicher.
    .source = veröffentlichte Firmware-Quelle F2: wo Spiegelung verlangt ist, fallen Ports weg, die kein Paar bilden
rank-interleave-wish = { $channels }: die Ränge der Module hier ({ $ranks }) verschränken sich nicht, wie gewünscht war.
    .asks = ob sich die Ränge jedes Kanals wie gewünscht verschränken
    .title = Ränge verschränken sich nicht wie gewünscht
    .doc = Während ein Rang eines Kanals beschäftigt ist, kann ein anderer antworten, wenn sich die Adressen auf sie abwechselnd verteilen. Adressbits wählen unter den Rängen, also müssen sie gleich groß und ihre Zahl eine Zweierpotenz sein. Neben einem Reserverang verschränken sich nur manche Bestückungen, und Ränge über einer Zweierpotenz werden aufgegeben.
    .source = veröffentlichter Leitfaden P1, 2.8.10.1 (Ränge, die sich verschränken) und 2.8.12.1 (neben einem Reserverang); die Bestückungen stehen im Datensatz des Boards
protection-groups-differ = { $channels }: Schutz durch { $asked } verbindet die Kanäle { $groups } eines Sockels; sie müssen Position für Position gleich sein in { $alike }. Speicher ohne solchen Partner geht verloren: hier { $lost }.
    .asks = ob die Kanäle jeder Schutzgruppe gleich bestückt sind
    .title = Kanäle einer Schutzgruppe unterscheiden sich
    .doc = Gespiegelte Kanäle halten alles doppelt, Kanäle im Lockstep je einen Teil jedes Worts; deshalb müssen die Kanäle einer Gruppe Position für Position gleich bestückt sein. Manche Firmware lässt den Speicher einer ungleichen Gruppe weg, wo andere Firmware den Schutz verweigert. Speicher auf einem Kanal ohne Gruppe geht dem Schutz verloren: eine Warnung, solange eine Gruppe arbeitet.
    .source = gängige Praxis; die Gruppen, und was gleich sein muss, stehen im Datensatz des Boards
protection-not-offered = Dieses Board bietet keinen Schutz durch { $asked }. Was es bietet: { $offered }.
    .asks = ob das Board den Schutz bietet
    .title = Das Board bietet diesen Schutz nicht
    .doc = Spiegelung, Ersatzränge und Lockstep sind Fähigkeiten des Speichercontrollers, die die Firmware des Boards einschalten muss. Keine Wahl von Modulen fügt eine hinzu, die nicht da ist.
    .source = gängige Praxis; was geboten wird, steht im Datensatz des Boards
protection-too-few-ranks = { $channels }: Schutz durch { $asked } braucht auf jedem Kanal mit Speicher mindestens { $needed } Ränge, die Module hier zählen aber { $found }. Ein Modul hinzufügen oder eines mit mehr Rängen wählen.
    .asks = ob jeder Kanal die Ränge hat, die der Schutz braucht
    .title = Zu wenige Ränge für den Schutz
    .doc = Ein Ersatzrang springt für einen ausfallenden auf demselben Kanal ein; ein Kanal braucht also mindestens zwei Ränge: den Ersatz und einen, den er ersetzen kann. Ein einzelnes Modul mit einem Rang hat keinen Ersatz. Boards können mehr verlangen.
    .source = veröffentlichte Firmware-Quelle F1: der Ersatz nimmt zwei Chip-Selects eines Kanals
rank-budget-exceeded = { $channels }: die Module zeigen { $seen } Ränge ({ $sum }), ein Kanal dieses Boards sieht aber höchstens { $budget }.
    .asks = ob die Ränge eines Kanals unter seiner Höchstzahl bleiben
    .title = Mehr Ränge, als ein Kanal sieht
    .doc = Ein Kanal hat eine feste Zahl von Chip-Selects, und jeder Rang, den der Speichercontroller sieht, nimmt eines. Sind sie verbraucht, sind weitere Ränge nicht erreichbar: der Server startet nicht oder lässt Module aus. Der Puffer eines LRDIMM kann mehrere Ränge als einen zeigen, es zählt dann weniger.
    .source = veröffentlichter Leitfaden P1, Tabellen 36 und 84: acht Chip-Selects je Kanal; die Höchstzahl selbst steht im Datensatz des Boards
rank-position-not-allowed = { $slots }: { $module } darf nicht in Position { $position } seines Kanals sitzen, nur in Position { $allowed }. Positionen zählen von dem Steckplatz, der am weitesten vom Prozessor entfernt ist.
    .asks = ob das Modul in dieser Position seines Kanals sitzen darf
    .title = Ein Modul mit so vielen Rängen ist in dieser Position nicht zugelassen
    .doc = Ein Modul mit vielen Rängen braucht mehr Chip-Selects als ein anderes, und ein Kanal führt sie nur zu einigen seiner Steckplätze. In einem anderen Steckplatz ist ein Teil seiner Ränge nicht erreichbar, oder zwei Module antworten auf dasselbe Chip-Select.
    .source = veröffentlichter Leitfaden P1, Tabelle 84 (Chip-Selects je Steckplatz); die Positionen stehen im Datensatz des Boards
ranks-mixed = { $place }: Module mit verschieden vielen Rängen ({ $found }) sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } eine einzige Rangzahl.
    .asks = ob Module verschiedener Rangzahl zusammenkommen
    .title = Rangzahlen gemischt
    .doc = Module verschiedener Rangzahl belasten die Leitungen eines Kanals verschieden. Manche Speichercontroller brauchen gleiche Rangzahlen auf einem Kanal; andere nehmen die Mischung in fester Ordnung, oft mit niedrigerer Datenrate.
    .source = veröffentlichte Firmware-Quelle F2: gleiche Package-Ränge je Port; die Vorgabe selbst steht im Datensatz des Boards
ranks-not-taken = { $module } hat eine Rangzahl von { $found }. Von Modulen gleicher Bauart und Kapazität nimmt dieses Board die mit einer Rangzahl von { $taken }.
    .asks = ob das Board Module mit so vielen Rängen nimmt
    .title = Eine Rangzahl, die das Board nicht nimmt
    .doc = Jeder Rang braucht im Steckplatz sein eigenes Chip-Select, und manche Boards verdrahten weniger, als ein Modul mit vielen Rängen braucht. Die nicht verdrahteten Ränge werden nie erreicht.
    .source = veröffentlichter Leitfaden P1, Tabellen 61 bis 65 (Rangzahlen je Steckplatz); die Zahlen, die ein Board nimmt, stehen in seinem Datensatz
rate-below-board = { $module } ist für höchstens { $found } gemacht, die niedrigste Datenrate dieses Boards ist aber { $least }. Ein langsameres Modul wird nicht unterstützt.
    .asks = ob das Modul schnell genug für die niedrigste Datenrate des Boards ist
    .title = Langsamer als die niedrigste Datenrate des Boards
    .doc = Ein Speichercontroller betreibt seine Kanäle in einem Bereich von Takten. Alle Module eines Kanals teilen sich einen Takt; ein Modul, das für weniger als den niedrigsten gemacht ist, läuft nicht langsamer, sondern wird von der Firmware abgelehnt. Was schneller ist als das Board, schadet nicht, es läuft mit dessen Rate.
    .source = veröffentlichte Firmware-Quelle F2, mss_freq: unter ihrem niedrigsten Takt endet die Firmware mit einem Fehler
rate-lowered-by-count = { $channels }: mit { $modules } Modulen auf einem Kanal läuft der Speicher mit { $rate }; mit { $fewer } liefe er mit { $faster }.
    .asks = ob weniger Module auf einem Kanal schneller liefen
    .title = Die Zahl der Module auf einem Kanal senkt die Datenrate
    .doc = Jedes Modul auf einem Kanal belastet dessen Leitungen; Boards betreiben zwei oder drei davon langsamer als eines, und der langsamste Kanal bestimmt die Rate derer, die sich an ihn angleichen. Wo Module zu eingebauten hinzukommen, wird mit den eingebauten allein verglichen. Weniger und größere Module halten die höhere Rate.
    .source = veröffentlichter Leitfaden P1, 2.8.9.5.8, Tabellen nach Modulen je Kanal; die Raten selbst stehen im Datensatz des Boards
rate-not-listed = { $place }: der Hersteller dieses Boards führt für { $stack } bei keiner Versorgungsspannung, die alle Module teilen ({ $voltages }), eine Datenrate auf. Was nicht aufgeführt ist, wird nicht unterstützt.
    .asks = ob der Hersteller für das, was ein Kanal trägt, eine Datenrate aufführt
    .title = Der Hersteller führt für diese Bestückung eines Kanals keine Datenrate auf
    .doc = Hersteller führen die Datenrate eines Kanals nach Zahl, Bauart und Rängen seiner Module und nach Spannung auf. Wo die Liste vollständig ist, wird nicht Aufgeführtes nicht unterstützt, und die Firmware schaltet den Kanal ab. Alle Kanäle laufen mit einer Spannung, jeder muss also bei derselben aufgeführt sein.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8.9.5.8; veröffentlichte Firmware-Quelle F1, mpmaxfreq.c schaltet einen Kanal ohne Zeile ab
rate-unknown = Wie schnell der Speicher laufen wird, lässt sich noch nicht sagen: { $count ->
        [1] eine Angabe fehlt.
       *[other] { $count } Angaben fehlen.
    }
    .asks = ob die Datenrate des Speichers bekannt ist
    .title = Die Datenrate lässt sich noch nicht sagen
    .doc = Die Datenrate folgt aus der Auslegung jedes Moduls, der Grenze des Prozessors und der Zeile des Boards für die Bestückung bei der eingestellten Spannung. Solange eines davon fehlt, wird keine genannt, statt zu raten. Eine Bestückung, die das Board gar nicht aufführt, oder Module ohne gemeinsame Spannung melden ihre eigenen Regeln.
    .source = gängige Praxis
rate-wish = Der Speicher läuft höchstens mit { $rate }, gewünscht war { $wished }.
    .asks = ob der Speicher so schnell läuft wie gewünscht
    .title = Langsamer als gewünscht
    .doc = Genannt werden kann die Datenrate, die der Speicher erreichen muss. Es zählt die Rate des langsamsten Kanals mit Speicher.
    .source = Wunsch des Anfragenden
set-not-identical = { $part } und { $other } sind gleich gebaut, haben aber verschiedene Teilenummern. Ein Satz aus einer Teilenummer ist leichter zu pflegen und zu ersetzen.
    .asks = ob der Satz aus einer einzigen Teilenummer besteht
    .title = Der Satz hat nicht nur eine Teilenummer
    .doc = Module gleicher Größe und Organisation von mehreren Herstellern oder Serien arbeiten auf den meisten Boards zusammen, aber ein Satz aus einer Teilenummer hat ein Timing, einen zu pflegenden Stand und ein Ersatzteil. Wo das Board selbst etwas zu gemischten Teilenummern vorgibt, meldet es stattdessen dessen Regel.
    .source = gängige Praxis
slot-of-empty-socket = { $slots }: in { $sockets } sitzt kein Prozessor, und ein Steckplatz arbeitet nur über den Prozessor, mit dem er verdrahtet ist. Dort einen Prozessor einbauen oder die Module zu einem Sockel umsetzen, der einen hat.
    .asks = ob die Sockel aller belegten Steckplätze einen Prozessor haben
    .title = Speicher an einem Sockel ohne Prozessor
    .doc = Seit die Speichercontroller im Prozessor sitzen, ist jeder Steckplatz mit einem Sockel verdrahtet. Ohne Prozessor dort erreicht nichts die Module in seinen Steckplätzen: der Server beachtet sie nicht oder startet nicht.
    .source = gängige Praxis
slot-power-exceeded = { $part } nimmt bis zu { $power } auf, ein Steckplatz dieses Boards ist aber für { $limit } ausgelegt. Ein sparsameres Modul wählen.
    .asks = ob jedes Modul unter der Leistung eines Steckplatzes bleibt
    .title = Mehr Leistung, als ein Steckplatz erlaubt
    .doc = Ein Steckplatz ist für eine bestimmte Leistung ausgelegt, und die Luft an ihm vorbei führt nur so viel Wärme ab. Ein Modul, das mehr aufnimmt, drosselt, fällt früher aus oder überlastet die Versorgung des Boards. Es gilt das Servicehandbuch des Herstellers.
    .source = gängige Praxis; die Grenze selbst steht im Datensatz des Boards
slot-taken-twice = { $slots }: für denselben Steckplatz ist mehr als ein Modul angegeben, er fasst nur eines. Das spätere in einen freien Steckplatz setzen oder das vorhandene herausnehmen.
    .asks = ob jeder Steckplatz einmal vergeben ist
    .title = Ein Steckplatz ist zweimal vergeben
    .doc = Ein Steckplatz fasst ein Modul. Eine Liste, die einen Steckplatz zweimal nennt, irrt sich oder vergisst, dass dort schon ein eingebautes Modul sitzt. Wo eingebaute Module ohnehin umziehen dürfen, ist es eine Warnung: die Liste irrt sich, aber es hängt nichts daran.
    .source = gängige Praxis
socket-without-memory = { $sockets }: hier sitzt ein Prozessor, aber kein Speicher. Ein Prozessor braucht mindestens ein Modul in seinen eigenen Steckplätzen; die Module auf alle Prozessoren verteilen oder welche hinzufügen.
    .asks = ob jeder Prozessor eigenen Speicher hat
    .title = Ein Prozessor ohne Speicher
    .doc = Die meisten Boards brauchen an jedem Prozessor mindestens ein Modul: ohne startet der Server nicht oder läuft ohne diesen Prozessor. Boards, die ihn über den Speicher des Nachbarn betreiben, senken dies zu einer Warnung, da dann jeder Zugriff über die Verbindung der Sockel geht.
    .source = gängige Praxis
sockets-unequal = { $sockets }: der Speicher eines Prozessors ist { $most }, der eines anderen { $least }. Programme beim kleineren Speicher greifen öfter auf den anderen über und warten länger.
    .asks = ob die Sockel gleich viel tragen
    .title = Sockel tragen verschieden viel
    .doc = Jeder Prozessor liest seinen eigenen Speicher am schnellsten, den der anderen langsamer. Mit gleich viel Speicher an jedem finden Programme Platz nahe dem Prozessor, auf dem sie laufen, und über alle Sockel verteilter Speicher wird gleichmäßig gelesen. Einen Sockel ganz ohne Speicher meldet seine eigene Regel.
    .source = veröffentlichter Leitfaden P3, Einbauregeln für Speichermodule: die Prozessoren gleich bestücken (Rat)
stack-not-taken = { $module } ist { $found }. Von sonst gleichen Modulen nimmt dieses Board die mit dem Aufbau { $taken }.
    .asks = ob das Board Module dieser Stapelhöhe nimmt
    .title = Eine Stapelhöhe, die das Board nicht nimmt
    .doc = In einem gestapelten Modul (3DS) hat jeder Rang mehrere Dies hinter einer Last, und der Speichercontroller muss zusätzliche Chip-Kennungen senden, um sie zu erreichen. Ein Board, das eine Stapelhöhe nicht kennt, erreicht bestenfalls einen Teil des Moduls. Zwei Dies nebeneinander in einem Gehäuse sind in diesem Sinn kein Stapel.
    .source = gängige Praxis; die Stapelhöhen, die ein Board nimmt, stehen in seinem Datensatz
stacks-mixed = { $place }: Module der Bauweisen { $found } sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } Module einer einzigen Stapelhöhe.
    .asks = ob gestapelte und flache Module zusammenkommen
    .title = Gestapelte und flache Module gemischt
    .doc = Ein gestapeltes Modul (3DS) wird mit zusätzlichen Chip-Kennungen adressiert und hat andere Zeiten als ein flaches. Hersteller verbieten flache mit gestapelten Modulen und verschieden hohe Stapel auf einem Kanal, meist im ganzen Server. Zwei Dies in einem Gehäuse sind in diesem Sinn kein Stapel.
    .source = veröffentlichte Firmware-Quelle F2 vergleicht Stapelarten je Port; für ganze Server gängige Praxis
stock-short = { $part }: { $quantity } verlangt, aber nur { $stock } am Lager.
    .asks = ob genug am Lager ist
    .title = Mehr als am Lager
    .doc = Der Satz verlangt mehr Module eines Teils, als laut Datensatz am Lager sind. Der Rest käme später oder gar nicht.
    .source = gängige Praxis
supply-voltage-not-common = { $module } läuft mit { $found }, { $others } aber mit { $taken }. Sie haben keine gemeinsame Versorgungsspannung, und eine Spannung speist alle Module des Boards.
    .asks = ob eine Versorgungsspannung zu Board und allen Modulen passt
    .title = Keine gemeinsame Versorgungsspannung
    .doc = Eine Versorgungsspannung speist alle Module, sie muss also eine sein, die das Board einstellt und mit der jedes Modul läuft. DDR3-Module sind nur für 1,5 V gemacht oder für 1,35 V und 1,5 V; manche laufen nur mit 1,35 V oder 1,25 V. Eine höhere Spannung, als für ein Modul vorgesehen, kann es zerstören.
    .source = veröffentlichter Leitfaden P1, Abschnitt 2.8.9.1: die niedrigste gemeinsame Spannung, nie über der, die ein SPD erlaubt
too-many-capacities = { $place }: Module mit { $found } sind gemischt. Wie viele verschiedene Kapazitäten der Hersteller dieses Boards auf { $scope } höchstens zulässt: { $most }.
    .asks = ob es zu viele verschiedene Kapazitäten gibt
    .title = Zu viele verschiedene Kapazitäten
    .doc = Speicher verteilt sich in gleichen Stücken auf die Kanäle, und was von einem größeren Modul übrig bleibt, wird von weniger Kanälen gelesen. Hersteller begrenzen, wie viele verschiedene Kapazitäten sie auf einem Kanal oder in einem Server nehmen; manche verlangen eine einzige.
    .source = gängige Praxis; die Grenzen stehen im Datensatz des Boards
too-many-of-kind = { $place }: auf einem Kanal sitzen { $count } Module der Art { $sort }, dieses Board nimmt aber höchstens { $most }.
    .asks = ob ein Kanal zu viele Module einer Art trägt
    .title = Zu viele Module einer Art auf einem Kanal
    .doc = Jedes Modul belastet die Leitungen seines Kanals, ein ungepuffertes oder eines mit vielen Rängen mehr als andere. Hersteller sagen, wie viele einer Art ein Kanal trägt; das können weniger sein, als er Steckplätze hat.
    .source = veröffentlichter Leitfaden P1, Tabelle 34 (höchstens zwei UDIMM auf einem Kanal); die Grenze steht im Datensatz des Boards
voltage-choice-matters = Mit { $supply } läuft der Speicher mit { $rate }; mit { $other } liefe er mit { $other_rate }.
    .asks = ob eine andere Versorgungsspannung eine andere Datenrate gäbe
    .title = Die Versorgungsspannung entscheidet über die Datenrate
    .doc = DDR3-Niederspannungsmodule laufen mit 1,35 V und mit 1,5 V. Mit der niedrigeren nehmen sie weniger auf, Boards betreiben volle Kanäle damit aber langsamer; ein Satz Module hat also zwei richtige Antworten. Die Spannungsvorgabe der Anfrage sagt, welche gegeben wird: die schnellste, bei Gleichstand die niedrigere Spannung, oder die niedrigste.
    .source = veröffentlichte Firmware-Quelle F1, mflvddr3.c (Vorgaben für Leistung und Verbrauch); veröffentlichter Leitfaden P1, Tabellen nach Spannung
width-not-taken = { $module } ist aus { $found }-Bausteinen gebaut. Von sonst gleichen Modulen nimmt dieses Board die mit Bausteinen der Breite { $taken }.
    .asks = ob das Board Module dieser Bausteinbreite nimmt
    .title = Eine Bausteinbreite, die das Board nicht nimmt
    .doc = Die Bausteinbreite bestimmt, wie viele Bausteine einen Rang bilden und wie der Speichercontroller über sie hinweg Fehler korrigiert. Serverboards nehmen oft nur x4- und x8-Bausteine, manche nur x4.
    .source = veröffentlichter Leitfaden P1, Tabelle 77 (Korrektur nach Bausteinbreite); die Breiten, die ein Board nimmt, stehen in seinem Datensatz
widths-mixed = { $place }: Module mit Bausteinen der Breiten { $found } sind gemischt. Der Hersteller dieses Boards verlangt auf { $scope } Module einer einzigen Bausteinbreite.
    .asks = ob Module verschiedener Bausteinbreite zusammenkommen
    .title = Bausteinbreiten gemischt
    .doc = Module mit x4- und x8-Bausteinen treiben ihre Strobes verschieden und korrigieren Fehler über verschiedene Symbole. Manche Speichercontroller nehmen überall beide, manche nicht auf einem Kanal, manche nicht in einem Server.
    .source = veröffentlichte Firmware-Quelle F2: eine Breite je Port; veröffentlichter Leitfaden P1, Abschnitt 2.8.9.5 nimmt beide; die Vorgabe selbst steht im Datensatz des Boards

## Angaben, die fehlen können, und wer Auskunft gibt.

fact-generation = die DDR-Generation
    .place = das Etikett des Moduls: die Zeile wie 2Rx4 PC4-3200AA-R
fact-kind = die Bauart des Moduls
    .place = der letzte Buchstabe des Geschwindigkeitsworts auf dem Etikett, etwa R für RDIMM oder L für LRDIMM
fact-capacity = die Kapazität
    .place = das Etikett des Moduls: die Zeile wie 2Rx4 PC4-3200AA-R
fact-package-ranks = die Zahl der Ränge
    .place = die Ziffer vor dem R auf dem Etikett, etwa in 2Rx4
fact-stack-height = die Stapelhöhe
    .place = das Etikett: ein S mit Ziffer, etwa in 2S4Rx4, bedeutet gestapelte Dies
fact-width = die Bausteinbreite
    .place = das x4, x8 oder x16 auf dem Etikett
fact-die-density = die Die-Dichte
    .place = das Datenblatt des Herstellers zur Teilenummer auf dem Aufkleber
fact-ecc-bits = die Zahl der ECC-Bits
    .place = das Etikett (EC4 oder EC8 bei DDR5) oder die Gesamt- und Datenbreite des Inventarberichts
fact-rate = die Nenn-Datenrate
    .place = das Etikett des Moduls: die Zeile wie 2Rx4 PC4-3200AA-R
fact-supply-voltages = die Angabe der Versorgungsspannungen
    .place = das Etikett: PC3L bedeutet 1,35 V und 1,5 V, PC3 nur 1,5 V
fact-module-input-voltage = die Eingangsspannung des Moduls
    .place = das Datenblatt des Herstellers zur Teilenummer auf dem Aufkleber
fact-timing = das Timing
    .place = das SPD des Moduls
fact-height = die Höhenklasse
    .place = das Datenblatt des Herstellers zur Teilenummer auf dem Aufkleber
fact-part-number = die Teilenummer
    .place = der Aufkleber des Herstellers
fact-product-line = die Produktlinie
    .place = das Datenblatt des Herstellers zur Teilenummer auf dem Aufkleber
fact-dram-maker = der DRAM-Hersteller
    .place = das SPD des Moduls oder der Aufdruck auf seinen Bausteinen
fact-peak-power = die Spitzenleistung
    .place = das Datenblatt des Herstellers zur Teilenummer auf dem Aufkleber
fact-price = der Preis
    .place = die Preisliste
fact-installed-slot = der Steckplatz eines eingebauten Moduls
    .place = der Inventarbericht oder die aufgedruckte Beschriftung neben dem Steckplatz
fact-slot-contents = was in den Steckplätzen steckt, die der Bericht auslässt
    .place = der ganze Inventarbericht oder die Maschine selbst
fact-firmware = die Firmware-Version des Boards
    .place = das Setup oder der Inventarbericht
fact-processor-model = das Prozessormodell
    .place = der Inventarbericht oder die Bestellung des Servers
fact-board-limit = ein Grenzwert des Boards
    .place = das Handbuch des Board-Herstellers
fact-rate-row = die Datenrate dieser Bestückung
    .place = das Handbuch des Board-Herstellers
fact-placement = die Antwort, ob es eine Platzierung gibt,
    .place = ein kleinerer oder einfacherer Satz: die Suche wurde an ihrer Grenze abgebrochen

## Was beim Lesen von Etiketten, SPD-Abbildern und Inventarberichten auffällt.

note-format-not-recognised = Dies ist keiner der Berichte, die gelesen werden können. Zu senden sind die SMBIOS-Tabelle, der Text von dmidecode, Redfish-Ressourcen vom Typ Memory oder das JSON von lshw.
note-json-broken = Das JSON bricht ab oder ist in Zeile { $line }, Spalte { $column } beschädigt; danach wurde nichts gelesen.
note-json-repaired = Dem JSON fehlten Klammern oder Kommas; { $objects } Objekte darin waren trotzdem lesbar.
note-table-ends-early = Die SMBIOS-Tabelle endet ohne ihre Endmarke; Strukturen können fehlen.
note-table-not-found = Der Einsprungpunkt ist da, aber ihm folgt keine SMBIOS-Tabelle.
note-no-slots = Der Bericht nennt keine Speichersteckplätze. Die Etiketten der Module ablesen und angeben, in welchem Steckplatz jedes sitzt.
note-too-many-slots = Der Bericht nennt { $found } Speichersteckplätze; nur die ersten { $kept } wurden genommen.
note-members-not-expanded = Die Sammlung enthält nur Verweise. Auch die Ressourcen hinter { $links } senden.
note-collection-cut = Die Sammlung geht unter { $link } weiter; hier fehlen also Steckplätze.
note-not-system-memory = { $count } Speicherbausteine, die kein Hauptspeicher sind (Flash, Grafik, gestapelt oder aufgelötet), wurden ausgelassen.
note-structures-repeated = Der Text enthält mehr als eine Ausgabe einer Maschine; { $count } Strukturen, die dort noch einmal stehen, wurden einmal gelesen.
note-slot-listed-twice = `{ $locator }` ist zweimal mit denselben Angaben beschrieben und wurde einmal gezählt.
note-slot-may-be-listed-twice = Zwei Steckplätze heißen `{ $locator }`: entweder ein zweimal beschriebener oder zwei gleichen Namens. Die Beschriftung in der Maschine prüfen.
note-slots-clash = { $count } Steckplätze geben denselben Platz an; ihre Plätze wurden deshalb nicht übernommen.
note-locators-not-trusted = Die Steckplatznamen sehen nach Kanal und Steckplatz aus, passen aber zu keinem Board; Kanäle wurden daraus nicht übernommen.
note-slots-may-be-left-out = Der Bericht nennt vielleicht nur belegte Steckplätze, und ihre Nummern haben Lücken; Kanäle wurden daraus nicht übernommen.
note-channel-numbers-have-gaps = Gefunden wurden die Kanäle { $channels }; sie wurden in dieser Reihenfolge ohne die fehlenden nummeriert.
note-socket-assumed = Der Bericht nennt keine Prozessorsockel; die Steckplätze wurden Sockel 1 zugerechnet.
note-sockets-without-slots = { $count } Prozessorsockel haben in diesem Bericht keine Steckplätze. Ein leerer Sockel verbirgt seine; das Board kann also mehr haben.
note-placement-unknown = Der Bericht sagt von { $count } Steckplätzen nicht, an welchem Sockel und Kanal sie liegen. Das angeben oder das Board nennen.
note-locator-not-in-mapping = Die mitgegebene Zuordnung nennt `{ $locator }` nicht.
note-mapping-ambiguous = Die Zuordnung nennt `{ $locator }`, so heißen aber mehrere Steckplätze. Auch den Bank-Locator angeben.
note-slot-count-differs = Die Firmware zählt { $stated } Steckplätze, beschreibt aber { $described }.
note-mapped-memory-differs = Die Module ergeben zusammen { $modules } MiB, die Firmware bildet aber { $mapped } MiB ab. Ein Modul kann abgeschaltet oder falsch gelesen sein.
note-product-name-generic = Der Produktname `{ $product }` verrät die Maschine nicht; das Modell des Boards tut es.
note-occupancy-unknown = Der Bericht sagt nicht, ob dieser Steckplatz ein Modul trägt.
note-mapped-more-than-described = Die Firmware bildet { $mapped } MiB ab, die beschriebenen Module ergeben aber nur { $modules } MiB; dem Bericht fehlen also Module. Er kann abgeschnitten sein; den ganzen Bericht schicken.
note-module-unreadable = Hier scheint ein Modul zu sitzen, der Bericht nennt aber keine Größe. Es kann ausgefallen sein, oder die Firmware sagt es nicht.
note-module-switched-off = Der Bericht nennt das Modul abgeschaltet (`{ $member }` ist `{ $given }`): es gibt keinen Speicher und belastet seinen Kanal trotzdem.
note-module-in-doubt = Ob das Modul arbeitet, ist zweifelhaft: `{ $member }` ist `{ $given }`. Im Ereignisprotokoll der Maschine nachsehen.
note-presence-from-capacity = Der Bericht nennt keinen Zustand dieses Steckplatzes; er gilt als belegt, weil eine Kapazität dasteht.
note-capacity-saturated = Das Größenfeld steht auf seinem größten Wert: das Modul hat mindestens { $least } MiB. Die Kapazität vom Etikett ablesen.
note-capacity-from-mapped-memory = Das Größenfeld steht auf seinem größten Wert; { $mib } MiB folgen aus dem Speicher, den die Firmware abbildet.
note-capacity-rounded = Die Kapazität { $given } MiB ist in dezimalen Einheiten angegeben; genommen wurden { $taken } MiB.
note-capacity-shared = Nur die Summe { $sum } MiB ist angegeben; sie wurde auf { $modules } gleiche Module verteilt.
note-capacity-odd = { $mib } MiB ist keine übliche Modulkapazität.
note-widths-hex-digits = Die Breiten { $total } und { $data } sind hexadezimale Ziffern, als Dezimalzahlen gezeigt.
note-widths-swapped = Gesamtbreite { $total } und Datenbreite { $data } sind vertauscht.
note-width-not-believable = Eine Gesamtbreite von { $total } Bit bei { $data } Datenbits passt zu keinem Modul; sie wurde ausgelassen.
note-ecc-from-array = Die Prüfbits stammen aus der Fehlerkorrektur des Speicherfelds, da die Breiten sie nicht verraten.
note-ecc-disagrees = Die Breiten und die angegebene Fehlerkorrektur widersprechen sich; genommen wurden die Breiten.
note-generation-inferred = Die Generation ist aus { $basis } erschlossen, da der Bericht `{ $given }` sagt.
note-generation-unknown = Der Bericht nennt die Generation nicht (`{ $given }`). Sie vom Etikett ablesen.
note-kind-not-stated = Der Bericht sagt nicht, ob das Modul registriert, lastreduziert oder ungepuffert ist (`{ $given }`). Das vom Etikett ablesen.
note-kind-contradictory = Der Bericht nennt das Modul sowohl registriert als auch ungepuffert.
note-ranks-unknown = Der Bericht nennt die Zahl der Ränge nicht. Sie vom Etikett ablesen (etwa 2Rx4).
note-ranks-not-believable = { $ranks } Ränge passen zu keinem Modul; die Zahl wurde ausgelassen.
note-ranks-may-count-stack = { $ranks } Ränge auf einem registrierten Modul: bei gestapelten Chips zählt manche Firmware Gehäuse, manche logische Ränge. Das Etikett sagt es (4Rx4, 2S2Rx4).
note-rated-rate-unknown = Der Bericht nennt die eigene Datenrate des Moduls nicht. Sie vom Etikett ablesen.
note-rate-was-clock = { $given } ist ein Takt in MHz; die Datenrate ist { $taken } MT/s.
note-rate-may-be-clock = { $given } kann ein Takt in MHz sein (dann ist die Datenrate doppelt so hoch) oder eine Datenrate in MT/s. Sie vom Etikett ablesen.
note-rate-wrapped = Der Takt { $given } Hz wurde auf 32 Bit gekürzt; die Datenrate ist { $taken } MT/s.
note-rate-odd = { $rate } MT/s ist keine Datenrate des Standards.
note-rate-not-believable = Eine Datenrate von { $rate } MT/s passt zu keinem Modul; sie wurde ausgelassen.
note-configured-above-rated = Das Modul läuft mit { $configured } MT/s, über seinen eigenen { $rated } MT/s: übertaktet, oder eine der Angaben ist falsch.
note-voltage-not-believable = { $mv } mV passen zu keinem Modul; der Wert wurde ausgelassen.
note-maker-from-code = Der Hersteller ist aus dem JEP106-Code { $given } gelesen.
note-part-number-coded = Die Teilenummer `{ $given }` ist hexadezimal für `{ $decoded }`.
note-part-number-no-use = `{ $given }` kennzeichnet kein Modul. Die Teilenummer vom Etikett ablesen.
note-part-number-is-spare = `{ $given }` sieht nach der Ersatzteilnummer eines Serverherstellers aus, nicht nach der Teilenummer des Modulherstellers.
note-not-plain-dram = Das Modul ist `{ $given }`, kein einfaches DRAM.
note-enum-not-standard = `{ $given }` ist kein Wert des Standards für { $property }; er wurde dem Sinn nach gelesen.
note-slots-placed-by-number = { $count } Steckplätze des Berichts wurden nach der Reihenfolge ihrer Sockel- und Kanalnummern Steckplätzen des Boards zugeordnet. Mit der aufgedruckten Beschriftung auf dem Board vergleichen.
note-slot-not-on-board = Welcher Steckplatz des Boards `{ $locator }` ist, sagt der Bericht nicht. Das angeben oder die aufgedruckte Beschriftung neben dem Steckplatz ablesen.
note-slots-left-out = Der Bericht lässt { $count } Steckplätze des Boards aus ({ $slots }); was darin steckt, ist also nicht bekannt. Er kann abgeschnitten sein; den ganzen Bericht schicken.
note-processors-from-report = Der Bericht zeigt Prozessoren in { $fitted } von { $sockets } Sockeln. Das wird benutzt, da die Anfrage es nicht sagt.
note-module-of-catalogue = Die Teilenummer `{ $part }` steht für `{ $id }` des Katalogs, dessen Angaben für die Entscheidung benutzt werden.
note-module-not-as-catalogue = Die Teilenummer `{ $part }` steht für `{ $id }` des Katalogs, der Bericht nennt aber etwas anderes ({ $fact }); nur der Bericht wird benutzt.
note-label-empty = Es ist kein Etikettentext zu lesen.
note-label-too-long = Der Text ist länger als jedes Etikett; nur die ersten { $read } Wörter wurden gelesen.
note-label-separator-misread = Das Etikett trennt seine Felder mit Bindestrichen: `{ $found }` wurde als `{ $meant }` gelesen.
note-label-capacity-missing = Das Etikett nennt die Kapazität nicht, etwa 32GB.
note-label-capacity-misread = Die Kapazität `{ $found }` heißt vermutlich `{ $meant }`.
note-label-capacity-unusual = Kein Modul hat eine Kapazität von { $found }: sie ist weder eine Zweierpotenz noch das Dreifache einer solchen.
note-label-organisation-missing = Das Etikett nennt Ränge und Bausteinbreite nicht, etwa 2Rx4.
note-label-organisation-misread = Die Organisation `{ $found }` heißt vermutlich `{ $meant }`.
note-label-rank-count-unknown = Kein Modul hat die Rangzahl in `{ $found }`; auf einem Etikett steht { $allowed }.
note-label-width-unknown = Kein Baustein hat die Breite in `{ $found }`; auf einem Etikett steht { $allowed }.
note-label-height-without-stack = `{ $found }` zählt logische Ränge, die hat aber nur ein Stapel, den der Buchstabe S kennzeichnet.
note-label-stack-height-missing = `{ $found }` nennt mit dem Buchstaben S einen Stapel, aber die Zahl der logischen Ränge danach fehlt.
note-label-stack-height-unknown = Kein Stapel hat die Höhe in `{ $found }`; auf einem Etikett steht { $allowed }.
note-label-package-not-in-generation = Etiketten von { $generation }-Modulen sagen nicht, wie sich Dies ein Gehäuse teilen, dieses hat trotzdem `{ $found }`.
note-label-ranks-are-logical = Die Rangzahl in `{ $found }` muss logische Ränge zählen; wie viele Package-Ränge das Modul hat, folgt daraus nicht.
note-label-speed-missing = Das Etikett nennt Generation und Geschwindigkeit nicht, etwa PC4-2400T.
note-label-generation-misread = Die Generation `{ $found }` heißt vermutlich `{ $meant }`.
note-label-generation-missing = Vor `{ $found }` fehlt die Generation; vermutlich heißt es `{ $meant }`.
note-label-generation-unclear = Vor `{ $found }` fehlt die Generation, und mehr als eine kommt in Frage.
note-label-generation-not-covered = `{ $found }` ist von einer Generation, die nicht behandelt wird; behandelt werden DDR3, DDR4 und DDR5.
note-label-rate-misread = Die Geschwindigkeit `{ $found }` heißt vermutlich `{ $meant }`.
note-label-rate-unknown = Die Geschwindigkeit `{ $found }` gibt es in der Generation nicht: { $allowed }.
note-label-speed-bin-misread = Die Geschwindigkeitsklasse `{ $found }` heißt vermutlich `{ $meant }`.
note-label-speed-bin-unknown = Die Geschwindigkeitsklasse `{ $found }` gibt es bei dieser Geschwindigkeit nicht: { $allowed }.
note-label-speed-bin-missing = Der Geschwindigkeit `{ $found }` fehlen die Buchstaben ihrer Klasse; die Latenz ist deshalb nicht bekannt.
note-label-module-letter-missing = Das Etikett nennt die Bauart nicht durch einen Buchstaben, etwa R für RDIMM.
note-label-module-letter-unknown = Den Modulbuchstaben `{ $found }` gibt es in der Generation nicht: { $allowed }.
note-label-kind-word-differs = Der Modulbuchstabe sagt { $kind }, das Wort `{ $found }` daneben etwas anderes.
note-label-raw-card-misread = Die Raw Card `{ $found }` heißt vermutlich `{ $meant }`.
note-label-raw-card-unknown = Eine Raw Card `{ $found }` gibt es nicht; sie ist ein oder zwei Buchstaben und ein Stand.
note-label-raw-card-incomplete = Der Raw Card `{ $found }` fehlt ihr Stand.
note-label-cas-latency-unknown = `{ $found }` kann keine CAS-Latenz sein.
note-label-digits-misread = `{ $found }` steht, wo Ziffern hingehören, und heißt vermutlich `{ $meant }`.
note-label-spd-revision-unknown = `{ $found }` kann kein SPD-Stand sein.
note-label-suffix-doubtful = Der eigene Text des Herstellers `{ $found }` heißt vielleicht `{ $meant }`.
note-label-ecc-bits-assumed = Das Etikett nennt die ECC-Bits eines Teilkanals nicht; angenommen sind die üblichen { $found }.
note-label-ecc-bits-conflict = Der Modulbuchstabe { $letter } und das Wort `{ $found }` nennen verschieden viele ECC-Bits.
note-label-density-implausible = Kapazität, Ränge und Breite zusammen bräuchten Dies von { $density }, die es bei { $generation } nicht gibt: eine der Angaben stimmt nicht.
note-label-code-text-unknown = Das Seriennummernfeld `{ $found }` des Codetexts ist keine 18 hexadezimalen Ziffern.
note-label-not-writable = Das Etikett dieses Moduls lässt sich ohne { $missing } nicht angeben.
note-label-part-left-out = Das Etikett lässt aus, was nicht bekannt ist: { $missing }.
note-fact-assumed = Wahrscheinlich ({ $fact }): { $likely }; sicher ist es nicht, es gilt deshalb als nicht bekannt.
note-fact-not-covered = Angabe ({ $fact }): { $found }; sie wird hier nicht behandelt und gilt deshalb als nicht bekannt.
note-facts-contradict = Angaben zu diesem Modul widersprechen sich; nur seine Generation und seine Namen werden benutzt: { $problem }.
note-spd-not-a-dump = Der Text ist weder ein hexadezimaler Auszug noch base64.
note-spd-byte-unreadable = Byte { $byte } wurde nicht aus dem Modul gelesen; nichts danach wird benutzt.
note-spd-too-long = Der Auszug ist länger als jeder SPD-Baustein; nur die ersten { $bytes } Bytes wurden benutzt.
note-spd-empty = Alle Bytes sind gleich: der SPD-Baustein ist leer oder wurde nicht gelesen.
note-spd-too-short = Das Abbild hat nur { $bytes } Bytes; { $needed } sind nötig, um das Modul zu erkennen.
note-spd-cut-short = Das Abbild hat { $bytes } von { $whole } Bytes; was im Rest steht, ist nicht bekannt.
note-spd-bytes-swapped = Die Bytes jedes Paars waren im Auszug vertauscht; sie wurden zurückgetauscht.
note-spd-header-skipped = { $bytes } Bytes vor dem Abbild wurden übersprungen.
note-spd-type-unknown = Der Speichertyp { $found } in Byte 2 ist keiner, der bekannt ist.
note-spd-type-not-covered = Das Abbild ist von { $found }, das nicht behandelt wird; behandelt werden DDR3, DDR4 und DDR5.
note-spd-crc-wrong = Die Prüfsumme der Bytes { $first } bis { $last } ist falsch: gespeichert ist { $stored }, richtig wäre { $computed }. Was dort steht, ist angenommen, nicht bekannt.
note-spd-crc-not-checked = Die Prüfsumme der Bytes { $first } bis { $last } ließ sich nicht prüfen, da das Abbild vorher endet.
note-spd-code-unknown = Byte { $byte } enthält für `{ $field }` den Code { $found }, den der Standard nicht festlegt.
note-spd-time-base-unknown = Byte { $byte } enthält { $found }; damit lassen sich Zeiten nicht angeben.
note-spd-rate-not-standard = Die Datenrate { $rate } gehört nicht zu denen des Standards für { $generation }.
note-spd-rate-not-told = Die Datenrate eines Moduls mit gemultiplexten Rängen folgt nicht aus seinem SPD-Abbild.
note-spd-no-cas-latency = Keine CAS-Latenz, die das Modul unterstützt, ist bei { $rate } lang genug.
note-spd-ranks-asymmetric = Die Ränge unterscheiden sich; die Kapazität folgt nicht aus dem ersten Rang allein.
note-spd-package-not-told = Die Dies sind gestapelt, das Abbild sagt aber nicht, ob sie sich ein Chip-Select teilen.
note-spd-hybrid = Das Modul trägt neben seinem DRAM auch Speicher anderer Art; nur das DRAM wird angegeben.
note-spd-height-over = Das Modul ist höher als { $limit } mm; um wie viel, ist nicht angegeben.
note-spd-maker-parity = Der Herstellercode { $found } in Byte { $byte } hat falsche Paritätsbits.
note-spd-date-not-decimal = Das Herstellungsdatum { $found } besteht nicht aus Dezimalziffern.
note-spd-text-not-printable = Der Text ab Byte { $byte } enthält nicht druckbare Zeichen; sie sind ausgelassen.

# Ein Vergleich von Plan und Befund.

one-of-slots = einer der Steckplätze { $list }

agreement-agrees = Der Befund entspricht dem Plan.
agreement-cannot_tell = Der Bericht sagt nicht alles, was nötig ist: siehe, was offen ist.
agreement-differs = Der Befund entspricht nicht dem Plan.

verify-title = { $board }: Befund nach der Arbeit
verify-slots-title = Steckplatz für Steckplatz: Plan | Befund
planned-nothing = nichts
found-empty = leer
found-unreadable = ein Modul, das sich nicht lesen lässt
found-untold = nicht gesagt

verify-difference = { $fact }: { $found } statt { $planned }

verify-report-of-other-generation = Der Bericht zeigt { $found }-Module, dieses Board nimmt aber nur { $planned }: Es ist der Bericht einer anderen Maschine, oder der Plan nennt das falsche Board.
verify-report-shows-no-module = Der Bericht zeigt gar kein Modul; { $planned ->
    [1] eines ist geplant.
   *[other] { $planned } sind geplant.
}
verify-report-shows-state-before = Der Bericht zeigt { $installed ->
    [1] das Modul, das
   *[other] die { $installed } Module, die
} vorher da { $installed ->
    [1] war
   *[other] waren
}, und { $added ->
    [1] nicht das, das
   *[other] keines der { $added }, die
} dazukommen { $added ->
    [1] sollte
   *[other] sollten
} ({ $slots }): Vielleicht stammt er aus der Zeit vor der Arbeit.
verify-socket-without-processor = { $sockets }: Der Bericht zeigt dort keinen Prozessor, deshalb { $count ->
    [1] fehlt das Modul seines Steckplatzes
   *[other] fehlen die { $count } Module seiner Steckplätze
} ({ $slots }).
verify-socket-not-seen = { $sockets }: Keines der { $count } dort geplanten Module ist zu sehen ({ $slots }). Wo ein ganzer Sockel fehlt, zuerst nach seinem Prozessor sehen.
verify-processor-not-seen = { $sockets }: Dort ist ein Prozessor geplant, der Bericht zeigt aber keinen, der arbeitet. Der Speicher eines Sockels ohne seinen Prozessor ist nicht erreichbar, was der Bericht auch sonst von ihm aufführt.
verify-channel-not-seen = { $channels }: Keines der { $count } dort geplanten Module ist zu sehen ({ $slots }). Ein Modul, das nicht ganz eingerastet ist, kann seinen ganzen Kanal verbergen.
verify-module-not-seen = { $slots }: Dort ist { $part } geplant, aber kein Modul zu sehen. Meist ist es nicht ganz eingerastet.
verify-fewer-modules-seen = { $slots }: Dort sind { $planned } Module geplant, zu sehen { $seen ->
    [1] ist
   *[other] sind
} nur { $seen }. Der Bericht sagt nicht, welchem Steckplatz sein Modul fehlt.
verify-module-unreadable = { $slots }: Ein Modul ist da, seine Angaben lassen sich aber nicht lesen; geplant ist { $part }.
verify-module-switched-off = { $slots }: { $part } ist zu sehen, aber von der Firmware der Maschine abgeschaltet und gibt deshalb keinen Speicher.
verify-part-of-module-not-seen = { $slots }: Von { $part } sind nur { $seen } von { $whole } zu sehen; es fehlt ein Rang.
verify-capacity-differs = { $slots }: Dort ist { $part } geplant, zu sehen ist { $found }: { $differences }.
verify-other-module = { $slots }: Dort ist { $part } geplant, zu sehen ist ein anderes Modul ({ $found }): { $differences }.
verify-modules-exchanged = { $one } und { $other } sitzen vertauscht (Steckplätze { $from } und { $to }).
verify-module-in-other-slot = { $part } sitzt in Steckplatz { $from }, geplant ist Steckplatz { $to }.
verify-module-in-unfitted-socket = { $slots }: Dort ist ein Modul zu sehen, für { $sockets } ist aber kein Prozessor geplant; der Speicher ist nicht erreichbar.
verify-module-not-planned = { $planned ->
    [0] { $slots }: Dort ist ein Modul zu sehen ({ $found }), geplant ist keines. Vielleicht ist es ein altes, das stecken blieb.
   *[other] { $all_slots }: Dort { $planned ->
        [1] ist ein Modul
       *[other] sind { $planned } Module
    } geplant, zu sehen sind mehr (darunter { $found }), und der Bericht unterscheidet die Steckplätze nicht. Vielleicht ist es ein altes, das stecken blieb, oder eines ist zweimal aufgeführt.
}
verify-other-processor = { $sockets }: Der Bericht zeigt den Prozessor { $found }, geplant ist { $planned }. Der Speicher läuft mit ihm vielleicht mit anderer Datenrate.
verify-rate-lowered-by-module = Der Speicher läuft mit { $found } statt { $planned }, denn { $module } ist nur für { $rating } gebaut: Das langsamste Modul bestimmt die Datenrate der anderen.
verify-rate-lowered-by-count = Der Speicher läuft mit { $found } statt { $planned }, denn hier sitzen mehr Module als geplant: { $channels }.
verify-rate-below-plan = Der Speicher läuft mit { $found } statt { $planned }. Wenn alle Module wie geplant sind, hält ihn eine Einstellung der Firmware oder das Prozessormodell zurück.
verify-rate-above-plan = Der Speicher läuft mit { $found }, schneller als die { $planned }, die Module, Prozessor und die Angaben zu diesem Board zulassen: Vielleicht ist es von Hand eingestellt und nicht stabil.
verify-protection-not-on = { $found } sind nutzbar, obwohl der Schutz ({ $protection }) { $planned } übrig lassen sollte: Er ist nicht eingeschaltet.
verify-memory-held-back = Alle { $installed } der Module sind zu sehen, nutzbar sind aber nur { $found } von { $usable }: Vielleicht ist ein Schutz eingeschaltet, oder die Firmware hält nach Fehlern ein Modul zurück.
verify-capacity-below-plan = Die Module, die zu sehen sind, haben { $found } statt { $planned }.
verify-other-part-number = { $slots }: Ein Modul mit den geplanten Angaben ist zu sehen, aber mit anderer Teilenummer ({ $found } statt { $part }).
verify-module-faster-than-planned = { $slots }: Statt { $part } ist ein Modul für { $rate } zu sehen ({ $found }). Es genügt.
verify-facts-not-told = { $slots }: Ob es { $part } ist, lässt sich nicht sagen; der Bericht nennt nicht: { $facts }.
verify-slots-not-told = Welches Modul in welchem Steckplatz sitzt, lässt sich nicht sagen ({ $slots }): Der Bericht unterscheidet sie nicht.
verify-occupancy-not-told = { $slots }: Der Bericht sagt nicht, ob dort ein Modul ist.
verify-report-incomplete = Dem Bericht fehlt ein Teil; was er nicht aufführt, kann trotzdem da sein.
verify-rate-not-told = { $channel_count ->
    [0] Ob der Speicher mit { $planned } läuft
   *[other] Ob der Speicher mit { $planned } läuft ({ $channels })
}, lässt sich nicht sagen: Der Bericht nennt die Datenrate nicht, mit der er läuft.
verify-total-above-modules = { $found } sind nutzbar, die Module, die zu sehen sind, haben aber { $installed }: Vielleicht sind Module da, die nicht aufgeführt sind, oder eines von beiden ist falsch gelesen.
verify-total-not-told = Ob der Schutz eingeschaltet ist, lässt sich nicht sagen: Der Bericht nennt nicht, wie viel Speicher nutzbar ist.

try-mend-causes-first = Zuerst beheben, was davor genannt ist, dann erneut vergleichen.
try-check-machine = Prüfen, ob der Bericht von dieser Maschine stammt: Seriennummer oder Hostnamen vergleichen.
try-check-board = Das Board des Plans mit dem Namen vergleichen, der auf dem Board steht.
try-take-new-report = Jetzt, nachdem die Maschine nach der Arbeit gestartet ist, einen neuen, vollständigen Bericht erstellen und erneut vergleichen.
try-reseat = Den Server herunterfahren und von jeder Stromversorgung trennen. Das Modul herausnehmen ({ $slots }), seine Kontakte und den Steckplatz ansehen und es gleichmäßig wieder eindrücken, bis beide Riegel von selbst schließen.
try-reseat-named = Den Server herunterfahren und von jeder Stromversorgung trennen. Das Modul, das das Protokoll nennt, herausnehmen, seine Kontakte und den Steckplatz ansehen und es gleichmäßig wieder eindrücken, bis beide Riegel von selbst schließen.
try-swap-slot = Hilft das nicht, es – wieder stromlos – mit einem Modul tauschen, das zu sehen ist: Bleibt der Fehler beim Steckplatz, liegt er am Steckplatz, an seinem Kanal oder am Prozessor.
try-swap-module = Wandert der Fehler mit dem Modul, ein anderes der geplanten Teilenummer einsetzen.
try-try-one-module = Mit einem Modul in dem Steckplatz starten, den die Bestückungsreihenfolge zuerst nennt, dann eines nach dem anderen dazunehmen: Das, nach dem es nicht mehr geht, ist genauer anzusehen.
try-look-at-processors = Im Setup nachsehen, ob jeder Prozessor aufgeführt und eingeschaltet ist.
try-seat-processor = Den Prozessor von Fachleuten nach der Anleitung des Herstellers neu einsetzen lassen: Ungleicher Druck oder ein verbogener Kontakt verbirgt Kanäle. Die Kontakte nie berühren.
try-find-slot = Im Setup oder an den Fehlerleuchten nachsehen, wem das Modul fehlt ({ $slots }).
try-read-label = Das Etikett des Moduls lesen und mit dem Plan vergleichen.
try-fit-planned = Stromlos, von jeder Versorgung getrennt, das geplante Modul einsetzen oder mit dem vorhandenen neu prüfen lassen.
try-exchange = Stromlos, von jeder Versorgung getrennt, die beiden Module tauschen.
try-move = Stromlos, von jeder Versorgung getrennt, das Modul aus Steckplatz { $from } in Steckplatz { $to } umsetzen.
try-move-to-fitted-socket = Stromlos, von jeder Versorgung getrennt, das Modul in einen Steckplatz eines Sockels mit Prozessor umsetzen.
try-take-out = Stromlos, von jeder Versorgung getrennt, das Modul herausnehmen, oder es in den Plan aufnehmen und neu prüfen lassen.
try-replace-slower = Stromlos, von jeder Versorgung getrennt, das langsamere Modul durch ein geplantes ersetzen.
try-thin-out = Stromlos, von jeder Versorgung getrennt, die Module herausnehmen oder umsetzen, die der Plan dort nicht vorsieht.
try-set-rate-automatic = Im Setup die Datenrate des Speichers auf automatisch stellen und ein Energieprofil wählen, das nicht am Speicher spart.
try-compare-processor = Das Prozessormodell mit dem Plan vergleichen: Sein Speichercontroller hat eine eigene höchste Datenrate.
try-update-firmware = Nachsehen, ob die Hinweise des Herstellers zu neuerer Firmware den Fehler nennen, und sie nach seiner Anleitung aktualisieren.
try-set-protection = Im Setup den geplanten Schutz einstellen und neu starten.
try-look-at-protection = Im Setup nachsehen, ob Spiegelung, Reserverang oder ein anderer Schutz wie geplant eingestellt ist.
try-read-event-log = Das Ereignisprotokoll der Maschine lesen: Dort vermerkt die Firmware, welches Modul sie abgeschaltet hat und warum.
try-compare-slots = Die Aufschriften neben den Steckplätzen mit dem Plan vergleichen und in `slots` angeben, welcher Steckplatz des Berichts welcher ist.
try-look-at-rate = Im Setup nachsehen, mit welcher Datenrate der Speicher läuft.
# Bestückungen, die gefunden wurden.
plan-title = Bestückungen für { $board }
plan-proven = { $count ->
    [1] Das ist die beste Bestückung: Keine, die alle Wünsche erfüllt, ist besser.
   *[other] Das sind die besten { $count } Bestückungen in ihrer Reihenfolge: Keine andere, die alle Wünsche erfüllt, ist besser.
}
plan-best-found = Das ist die beste Bestückung, die vor dem Abbruch der Suche gefunden wurde; wie viel besser es geht, ist nicht bekannt.
plan-best-found-within = Das ist die beste Bestückung, die vor dem Abbruch der Suche gefunden wurde: Keine andere kann um mehr als { $gap } besser sein ({ $key }).
plan-infeasible = Keine Bestückung erfüllt alle Wünsche.
plan-undecided-cut = Die Suche wurde abgebrochen, bevor sie eine Bestückung fand oder wusste, dass es keine gibt.
plan-undecided-open = Jede Bestückung, die in Frage kommt, hängt an einer Angabe, die nicht bekannt ist.
plan-open = Bestückungen wurden übergangen, weil eine Angabe nicht bekannt ist, die sie verbieten könnte.
plan-cut-time = Die Zeit war um; dieselbe Anfrage kann beim nächsten Mal anders beantwortet werden.
plan-cut-steps = Die Suche hat alle ihre Schritte verbraucht: Mit mehr davon lässt sich mehr sagen.
plan-kit = Bestückung { $number }: { $cost }
plan-buy = { $quantity } × { $part } kaufen: { $cost }{ $over ->
    [0] .
   *[other] , { $over } bleiben übrig.
}
plan-buy-nothing = Nichts zu kaufen.
plan-handling = Arbeit: { $cost }.
plan-move = { $part } von { $from } nach { $to } umstecken.
plan-remove = { $part } aus { $from } herausnehmen.
plan-kept = { $count ->
    [1] Ein eingebautes Modul bleibt, wo es ist.
   *[other] { $count } eingebaute Module bleiben, wo sie sind.
}
plan-slot-not-told = einem nicht genannten Steckplatz
plan-not-known = nicht bekannt
plan-counts = Die Suche brauchte { $steps } Schritte in { $jobs } Teilen, von denen { $closed } allein durch ihre Schranke erledigt waren, und beurteilte { $leaves } ganze Boards.
front-complete = { $count ->
    [1] Eine Bestückung wird von keiner anderen zugleich übertroffen ({ $keys }): Es gibt nichts abzuwägen.
   *[other] Das sind alle { $count } Bestückungen, die von keiner anderen zugleich übertroffen werden ({ $keys }).
}
front-empty = Es gibt Bestückungen, die alle Wünsche erfüllen, aber bei keiner liegt alles davon über 0: { $keys }. Die Front hat daher keinen Punkt.
front-some = { $count ->
    [1] Das ist eine Bestückung, die von keiner anderen zugleich übertroffen wird ({ $keys }); es kann mehr geben.
   *[other] Das sind { $count } Bestückungen, die von keiner anderen zugleich übertroffen werden ({ $keys }); es kann mehr geben.
}
key-cost = Preis
key-usable = nutzbare Kapazität
key-rate = Datenrate
key-peak = Spitzenbandbreite
key-uniform = Bandbreite bei gleichmäßigem Lesen
key-power = Spitzenleistung
key-modules = Zahl der Module
key-free-slots = freie Steckplätze
key-moved = umgesteckte oder herausgenommene Module
key-parts = Zahl der Teilenummern

no-kit-whatever = Kein Wunsch steht im Weg: Dieses Board nimmt nichts von dem, was angeboten wird.
no-kit-barred = Das lässt sich mit keinem Modul beheben: { $demands }.
no-kit-alone = Schon das allein lässt sich mit dem Angebot nicht erfüllen: { $demands }.
no-kit-together = Das lässt sich nicht zugleich erfüllen, und ohne jedes Einzelne davon ginge der Rest: { $demands }.
no-kit-together-perhaps = Das lässt sich nicht zugleich erfüllen; ob es dafür jedes Einzelne davon braucht, ließ sich in der Zeit nicht klären: { $demands }.
demand-capacity-at-least = mindestens { $value } nutzbar
demand-rate-at-least = mindestens { $value }
demand-budget = höchstens { $value }
demand-capacity-at-most = höchstens { $value } nutzbar
demand-power = höchstens { $value } Spitzenleistung
demand-peak = mindestens { $value } Spitzenbandbreite
demand-uniform = mindestens { $value } bei gleichmäßigem Lesen
demand-free-slots = { $value } freie Steckplätze
demand-balance-channels = alle Kanäle gleich
demand-balance-sockets = alle Sockel gleich
demand-chip-correction = Korrektur eines ganzen ausgefallenen Bausteins
demand-rank-interleave = Verschränkung der Ränge jedes Kanals
demand-licence = nicht mehr als die nutzbaren { $value }
demand-one-part = nur eine Teilenummer
demand-builds = höchstens { $value } Bauarten von Modulen
demand-moved = höchstens { $value } eingebaute Module umgesteckt oder herausgenommen
demand-mirrored = Spiegelung
demand-rank-spare = ein Reserve-Rank
demand-lockstep = Gleichschritt der Kanäle
demand-lowest-voltage = die niedrigste Versorgungsspannung
demand-in-place = eingebaute Module an ihrem Platz
demand-keep = alle eingebauten Module bleiben
demand-replace = alle eingebauten Module heraus
demand-stock = der Lagerbestand
demand-rule = Regel { $rule }

changes-title = Was für sich allein helfen würde
changes-none = Keine Änderung eines einzelnen Wunsches reicht.
changes-undecided = Bei diesen ließ sich in der Zeit nicht klären, ob eine Änderung hilft: { $demands }.
change-not-least = Vielleicht reicht auch weniger.
change-budget = das Budget um { $by } auf { $to } erhöhen.
change-capacity-at-least = { $to } statt { $from } nutzbar hinnehmen.
change-capacity-at-most = { $to } statt { $from } nutzbar zulassen.
change-licence = { $to } statt { $from } nutzen dürfen.
change-rate-at-least = { $to } statt { $from } hinnehmen.
change-power = { $to } statt { $from } Spitzenleistung zulassen.
change-peak = { $to } statt { $from } Spitzenbandbreite hinnehmen.
change-uniform = { $to } statt { $from } bei gleichmäßigem Lesen hinnehmen.
change-free-slots = { $to } statt { $from } Steckplätze frei lassen.
change-balance-sockets = die Sockel gleich bestücken, aber nicht alle Kanäle.
change-balance-none = auf das Gleichgewicht verzichten.
change-no-chip-correction = auf die Korrektur eines ganzen ausgefallenen Bausteins verzichten.
change-no-rank-interleave = auf die Verschränkung der Ränge verzichten.
change-parts = { $to } statt { $from } Teilenummern zulassen.
change-builds = { $to } statt { $from } Bauarten von Modulen zulassen.
change-moved = { $to } statt höchstens { $from } eingebaute Module umstecken oder herausnehmen.
change-no-protection = auf den Schutz verzichten.
change-any-voltage = jede Versorgungsspannung zulassen.
change-keep = eingebaute Module umstecken lassen.
change-may-remove = eingebaute Module herausnehmen lassen.
change-stock = { $to } statt { $from } von { $part } am Lager haben.
change-capacities-of-board = ein Board, das { $to } statt { $from } Kapazitäten nimmt, würde reichen.

# Warum der Optimierer seine Bestückung einer genannten vorzog ("diese Bestückung").
choice-preferred = Die Bestückung des Optimierers geht vor. Es entscheidet: { $key }, { $chosen } gegen { $named }.
choice-preferred-sum = Die Bestückung des Optimierers geht vor: Ihre gewichtete Summe ist niedriger, { $chosen } gegen { $named }.
choice-better = Diese Bestückung ist besser als die, die der Optimierer gefunden hat. Es entscheidet: { $key }, { $named } gegen { $chosen }.
choice-better-sum = Diese Bestückung ist besser als die, die der Optimierer gefunden hat: Ihre gewichtete Summe ist niedriger, { $named } gegen { $chosen }.
choice-same = Das ist die Bestückung, die der Optimierer gewählt hat.
choice-tie = Beide Bestückungen sind in allem gleich, was bevorzugt wird. Von gleichen nimmt der Optimierer die bessere in diesem Punkt: { $key }, { $chosen } gegen { $named }.
choice-tie-named = Beide Bestückungen sind in allem gleich, was bevorzugt wird. Diese ist sogar in einem Punkt besser ({ $key }: { $named } gegen { $chosen }), aber danach war nicht gefragt: Er muss in der Vorliebe stehen.
choice-tie-first-met = Beide Bestückungen sind in allem gleich, was bevorzugt wird: Der Optimierer nimmt die, auf die er zuerst trifft.
choice-none-found = Der Optimierer hat keine Bestückung gefunden, aber diese erfüllt alle Wünsche.
choice-refused = Diese Bestückung ist nicht erlaubt, was auch immer gewünscht wird.
choice-open = Der Optimierer übergeht diese Bestückung, weil sie an etwas hängt, das nicht bekannt ist.
choice-not-for-sale = Nicht alles an dieser Bestückung ist zu kaufen:
choice-shortage = { $sold ->
    [0] { $part } ist nicht zu kaufen.
   *[other] Von { $part } werden { $wanted } gebraucht, zu haben sind nur { $sold }.
}
choice-unmet = Diese Bestückung erfüllt nicht, was verlangt war:
choice-unmet-demand = Nicht erfüllt: { $demands }.
choice-chosen = Die Bestückung des Optimierers:
choice-named = Diese Bestückung:
choice-moved = { $count ->
    [1] Ein eingebautes Modul bekommt einen anderen Steckplatz.
   *[other] { $count } eingebaute Module bekommen andere Steckplätze.
}
choice-removed = { $count ->
    [1] Ein eingebautes Modul kommt heraus.
   *[other] { $count } eingebaute Module kommen heraus.
}
choice-placed-best = Sie sitzt dort, wo sie nach der Vorliebe am meisten wert ist.
choice-placed-best-of-some = Sie sitzt dort, wo sie nach der Vorliebe am meisten wert ist. Von den eingebauten Modulen kommen so wenige wie nötig heraus, oder die, die der Optimierer herausnimmt, oder alle, was davon am besten ist.
choice-placed-unsure = Die Suche nach ihrem besten Platz wurde abgebrochen: Es kann einen besseren geben.
choice-placed-as-checked = Sie sitzt so, wie eine Prüfung sie verteilt, mit der höchsten Datenrate zuerst: Es kann einen besseren Platz geben.
choice-perhaps-met = Ein anderer Platz erfüllt vielleicht, was dieser nicht erfüllt.
choice-key-same = { $key }: bei beiden gleich, { $value }.
choice-key-chosen = { $key } bei der Bestückung des Optimierers: { $value }.
choice-key-chosen-by = { $key } bei der Bestückung des Optimierers: { $working }.
choice-key-named = { $key } bei dieser Bestückung: { $value }.
choice-key-named-by = { $key } bei dieser Bestückung: { $working }.
choice-sum-chosen = Gewichtete Summe der Bestückung des Optimierers: { $working }.
choice-sum-named = Gewichtete Summe dieser Bestückung: { $working }.
choice-total = gewichtete Summe
table-choice = Die beiden Bestückungen nach dem, was bevorzugt wird, dann nach dem Übrigen
table-choice-weights = Die beiden Bestückungen, Gewicht für Gewicht: Mehr von etwas Gutem zählt unter null
column-chosen = die des Optimierers
column-named = diese
column-weight = Gewicht
column-share-chosen = Anteil bei der des Optimierers
column-share-named = Anteil bei dieser
better-chosen = die des Optimierers
better-named = diese
