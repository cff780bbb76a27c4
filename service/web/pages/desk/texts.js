// What the page itself says, in three languages, sorted by key: English, German, French. What the service answers comes in
// the same language from the service.

export const LANGUAGES = /** @type {const} */ (["en", "de", "fr"]);

/** @type {Record<string, readonly [string, string, string]>} */
const TEXTS = {
  again: ["Try again", "Noch einmal versuchen", "Réessayer"],
  against: ["Against it", "Was dagegen spricht", "Ce qui s’y oppose"],
  answer: ["The answer", "Die Antwort", "La réponse"],
  article: ["Article", "Artikel", "Article"],
  asked: ["What was calculated", "Was gerechnet wurde", "Ce qui a été calculé"],
  audit: ["Proof: versions and digests", "Nachweis: Versionen und Prüfsummen", "Preuve : versions et empreintes"],
  blank: [
    "Start again with a blank form",
    "Mit leerem Formular neu beginnen",
    "Recommencer avec un formulaire vide",
  ],
  body: ["Vehicle body", "Aufbau des Fahrzeugs", "Carrosserie"],
  body_about: [
    "What it is made of: it grows with the heat.",
    "Woraus er ist: Er dehnt sich bei Wärme.",
    "Sa matière : elle se dilate à la chaleur.",
  ],
  cable_run: ["Cable", "Kabel", "Câble"],
  cable_run_about: [
    "From the fuse to the shutter, one way.",
    "Von der Sicherung bis zum Rollladen, einfacher Weg.",
    "Du fusible au rideau, aller simple.",
  ],
  calculation_version: ["Version of the calculation", "Version der Rechnung", "Version du calcul"],
  case: ["The opening and the shutter", "Öffnung und Rollladen", "La baie et le rideau"],
  catalogue: ["Catalogue", "Katalog", "Catalogue"],
  cautions: ["Where it can hurt", "Wo es gefährlich wird", "Où l’on peut se blesser"],
  chart_about: [
    "Force of the hand over the lift: up to {up} N upwards and {down} N downwards; {limit} N are allowed. Below zero it moves by itself.",
    "Handkraft über den Hub: bis {up} N nach oben und {down} N nach unten; zulässig sind {limit} N. Unter null bewegt er sich von selbst.",
    "Force de la main au cours de la levée : jusqu’à {up} N vers le haut et {down} N vers le bas ; {limit} N sont admis. Sous zéro, il se déplace seul.",
  ],
  chart_closed: ["closed", "zu", "fermé"],
  chart_hand_down_n: ["pulling down", "nach unten ziehen", "tirer vers le bas"],
  chart_hand_up_n: ["lifting", "anheben", "lever"],
  chart_limit: ["allowed", "zulässig", "admis"],
  chart_open: ["open, {lift} up", "offen, {lift} höher", "ouvert, {lift} plus haut"],
  check: ["Check", "Prüfung", "Contrôle"],
  checks: ["All checks", "Alle Prüfungen", "Tous les contrôles"],
  choice: ["Choice", "Wahl", "Choix"],
  choice_aluminium: ["aluminium", "Aluminium", "aluminium"],
  choice_auto: ["let Lathwind choose", "Lathwind wählt", "au choix de Lathwind"],
  choice_composite: ["composite", "Verbundwerkstoff", "composite"],
  choice_face: [
    "on the inner faces of the jambs",
    "auf den Innenseiten der Leibungen",
    "sur la face intérieure des montants",
  ],
  choice_inside: ["from inside", "von innen", "de l’intérieur"],
  choice_outside: ["from outside", "von außen", "de l’extérieur"],
  choice_reveal: ["between the jambs", "zwischen den Leibungen", "entre les montants"],
  choice_steel: ["steel", "Stahl", "acier"],
  clear: ["Clear when open", "Frei, wenn offen", "Passage libre, ouvert"],
  coil_radius: ["Coil radius", "Radius des Ballens", "Rayon de l’enroulement"],
  compare: [
    "Compare with what else the catalogue has",
    "Mit dem vergleichen, was der Katalog sonst hat",
    "Comparer avec le reste du catalogue",
  ],
  compare_caption: ["Side by side, the best first", "Nebeneinander, das Beste zuerst", "Côte à côte, le meilleur d’abord"],
  compare_kind: ["Compare", "Vergleichen", "Comparer"],
  compare_mount: ["mounts", "Einbauarten", "les montages"],
  compare_side_plate: ["side plates", "Seitenplatten", "les flasques"],
  compare_slat: ["slats", "Lamellen", "les lames"],
  compare_take: ["Take {name}", "{name} nehmen", "Prendre {name}"],
  compare_tube: ["tubes", "Wellen", "les tubes"],
  contract_version: ["Version of the contract", "Version der Schnittstelle", "Version du contrat"],
  copied: ["Copied.", "Kopiert.", "Copié."],
  copy_by_hand: [
    "The browser does not let the page copy. Mark it here and copy it:",
    "Der Browser lässt die Seite nicht kopieren. Hier markieren und kopieren:",
    "Le navigateur ne laisse pas la page copier. Sélectionnez ici et copiez :",
  ],
  cures: ["What would make it fit", "Womit er passen würde", "Ce qui le ferait convenir"],
  cures_none: [
    "Nothing that was tried makes it fit. Compare with what else the catalogue has, below.",
    "Nichts von dem, was versucht wurde, macht ihn passend. Unten mit dem Rest des Katalogs vergleichen.",
    "Rien de ce qui a été essayé ne le fait convenir. Comparez ci-dessous avec le reste du catalogue.",
  ],
  cures_sought: ["Changes are being tried …", "Änderungen werden versucht …", "Des modifications sont à l’essai …"],
  curl_copy: ["Copy as curl", "Als curl kopieren", "Copier en curl"],
  cut: ["Cut to", "Zuschnitt", "Coupe"],
  cycles: ["Times a day", "Betätigungen am Tag", "Manœuvres par jour"],
  cycles_about: [
    "How often it is opened and closed: the springs must last.",
    "Wie oft er auf- und zugeht: Die Federn müssen halten.",
    "Combien de fois on l’ouvre et le ferme : les ressorts doivent durer.",
  ],
  depth: ["Depth", "Tiefe", "Profondeur"],
  depth_about: [
    "Free depth behind the header, up to the first thing in the way.",
    "Freie Tiefe hinter dem Sturz, bis zum ersten Hindernis.",
    "Profondeur libre derrière le linteau, jusqu’au premier obstacle.",
  ],
  differing: ["Differing: {pointers}", "Abweichend: {pointers}", "Différences : {pointers}"],
  direction_at_least: ["at least", "mindestens", "au moins"],
  direction_at_most: ["at most", "höchstens", "au plus"],
  docs: ["The contract, for developers", "Die Schnittstelle, für Entwickler", "Le contrat, pour les développeurs"],
  document_saved: ["Saved as {name}.", "Gespeichert als {name}.", "Enregistré sous {name}."],
  document_waiting: ["A moment …", "Einen Moment …", "Un instant …"],
  duty: [
    "What it must stand: speed, heat, supply, use",
    "Was er aushalten muss: Fahrt, Wärme, Strom, Gebrauch",
    "Ce qu’il doit supporter : vitesse, chaleur, courant, usage",
  ],
  dxf: ["Side plates (DXF)", "Seitenplatten (DXF)", "Flasques (DXF)"],
  existing: ["A shutter that exists already", "Ein Rollladen, den es schon gibt", "Un rideau qui existe déjà"],
  fault_cm: [
    "{value} is too little: from {least} to {most}. If it is in cm, write {typed} cm.",
    "{value} ist zu wenig: von {least} bis {most}. Wenn es cm sind, bitte {typed} cm schreiben.",
    "{value} est trop peu : de {least} à {most}. Si ce sont des cm, écrivez {typed} cm.",
  ],
  fault_length: [
    "This is no length. Write 1180, 1180,5, 118 cm or 46 1/2 in.",
    "Das ist keine Länge. Zum Beispiel 1180, 1180,5, 118 cm oder 46 1/2 in.",
    "Ce n’est pas une longueur. Par exemple 1180, 1180,5, 118 cm ou 46 1/2 in.",
  ],
  fault_long: ["At most {most} characters.", "Höchstens {most} Zeichen.", "Au plus {most} caractères."],
  fault_missing: ["This measure is needed.", "Dieses Maß wird gebraucht.", "Cette cote est nécessaire."],
  fault_number: ["This is no number.", "Das ist keine Zahl.", "Ce n’est pas un nombre."],
  fault_range: [
    "{value} is outside the range from {least} to {most}.",
    "{value} liegt außerhalb von {least} bis {most}.",
    "{value} est hors de la plage de {least} à {most}.",
  ],
  figures: ["The figures that matter", "Die wichtigen Maße", "Les cotes importantes"],
  figures_nearest: [
    "These are the figures of what comes nearest. Nothing is cut by them.",
    "Das sind die Maße der nächstliegenden Lösung. Danach wird nichts zugeschnitten.",
    "Ce sont les cotes de ce qui s’en approche le plus. On ne coupe rien d’après elles.",
  ],
  fitted_from: ["Fitted", "Montiert", "Monté"],
  fitted_from_about: [
    "Where the fitter stands; it alters the order of work only.",
    "Wo der Monteur steht; das ändert nur die Arbeitsfolge.",
    "Où se tient le monteur ; cela ne change que l’ordre du travail.",
  ],
  foot: [
    "A wound spring stores energy that can injure; a moving curtain pinches; nobody drives with an open shutter. The figures do not replace a competent person, local codes or the instructions that come with the parts.",
    "Eine gespannte Feder speichert Energie, die verletzen kann; ein bewegter Panzer quetscht; niemand fährt mit offenem Rollladen. Die Zahlen ersetzen weder eine fachkundige Person noch örtliche Vorschriften noch die Anleitungen der Teile.",
    "Un ressort tendu emmagasine une énergie qui peut blesser ; un tablier en mouvement pince ; personne ne roule rideau ouvert. Les chiffres ne remplacent ni une personne compétente, ni les règles locales, ni les notices des pièces.",
  ],
  forbidden: [
    "This key has no right to that. {detail}",
    "Dieser Schlüssel darf das nicht. {detail}",
    "Cette clé n’y donne pas droit. {detail}",
  ],
  forces: ["Force of the hand over the lift", "Handkraft über den Hub", "Force de la main au cours de la levée"],
  from_on: ["from {least}", "ab {least}", "à partir de {least}"],
  from_to: ["{least} to {most}", "{least} bis {most}", "{least} à {most}"],
  hand_force: ["Greatest hand force", "Größte Handkraft", "Force de main maximale"],
  hand_force_limit: ["Hand force allowed", "Zulässige Handkraft", "Force de main admise"],
  hand_force_limit_about: [
    "What a hand may need at most.",
    "Was eine Hand höchstens aufbringen soll.",
    "Ce qu’une main doit fournir au plus.",
  ],
  hand_over: ["Hand over", "Weitergeben", "Transmettre"],
  header_thickness: ["Header thickness", "Sturzdicke", "Épaisseur du linteau"],
  header_thickness_about: [
    "From the header’s outer face to its inner face.",
    "Von der Außenseite des Sturzes bis zu seiner Innenseite.",
    "De la face extérieure du linteau à sa face intérieure.",
  ],
  headroom: ["Headroom", "Sturzhöhe", "Retombée de linteau"],
  headroom_about: [
    "From the header’s underside up to the roof, inside.",
    "Von der Unterkante des Sturzes bis unter das Dach, innen.",
    "Du dessous du linteau jusqu’au toit, à l’intérieur.",
  ],
  height: ["Height", "Höhe", "Hauteur"],
  height_about: [
    "Clear height from the sill up to the header’s underside.",
    "Lichte Höhe von der Schwelle bis zur Unterkante des Sturzes.",
    "Hauteur libre du seuil au dessous du linteau.",
  ],
  job: [
    "Will the roll-up shutter fit? Type what the tape says.",
    "Passt der Rollladen? Eintragen, was das Maßband sagt.",
    "Le rideau à lames convient-il ? Saisissez ce que dit le mètre.",
  ],
  json_copy: ["Copy as JSON", "Als JSON kopieren", "Copier en JSON"],
  key: ["Key", "Schlüssel", "Clé"],
  key_about: [
    "The operator hands keys out. It stays in this tab only.",
    "Schlüssel gibt der Betreiber aus. Er bleibt nur in diesem Tab.",
    "L’exploitant remet les clés. Elle ne reste que dans cet onglet.",
  ],
  key_open: ["Key …", "Schlüssel …", "Clé …"],
  key_use: ["Use this key", "Diesen Schlüssel verwenden", "Utiliser cette clé"],
  language: ["Language", "Sprache", "Langue"],
  limit: ["Limit", "Grenze", "Limite"],
  link_broken: [
    "The case in this link cannot be read: the link may have been cut.",
    "Der Fall in diesem Link ist nicht lesbar: Der Link ist vielleicht abgeschnitten.",
    "Le cas de ce lien est illisible : le lien a peut-être été coupé.",
  ],
  link_copy: ["Copy link", "Link kopieren", "Copier le lien"],
  link_differs: [
    "The answer is not the one that this link was made for: digest {is} now, {was} then. Version or catalogue have changed, or the link was altered. Do not mix its sheet with this one.",
    "Die Antwort ist nicht die, für die dieser Link gemacht wurde: Prüfsumme jetzt {is}, damals {was}. Version oder Katalog sind andere, oder der Link wurde verändert. Das alte Blatt nicht mit diesem mischen.",
    "La réponse n’est pas celle pour laquelle ce lien a été fait : empreinte {is} maintenant, {was} alors. La version ou le catalogue ont changé, ou le lien a été modifié. Ne mélangez pas son ancienne fiche avec celle-ci.",
  ],
  load_gap: ["Room before the load", "Platz vor der Ladung", "Jeu devant la charge"],
  load_gap_about: [
    "Free space between the closed curtain and the load behind it.",
    "Freier Raum zwischen dem geschlossenen Panzer und der Ladung dahinter.",
    "Espace libre entre le tablier fermé et la charge derrière lui.",
  ],
  many_about: [
    "A CSV file with a row for each opening; columns are named as in the file to start with. Nothing is stored: the file is calculated and forgotten.",
    "Eine CSV-Datei mit einer Zeile je Öffnung; die Spalten heißen wie in der Datei zum Anfangen. Nichts wird gespeichert: Die Datei wird gerechnet und vergessen.",
    "Un fichier CSV avec une ligne par baie ; les colonnes portent les noms du fichier de départ. Rien n’est conservé : le fichier est calculé puis oublié.",
  ],
  many_caption: ["Rows of {name}", "Zeilen von {name}", "Lignes de {name}"],
  many_done: ["Done.", "Fertig.", "Terminé."],
  many_file: [
    "Drop a table here or choose one:",
    "Tabelle hier ablegen oder auswählen:",
    "Déposez un tableau ici ou choisissez-le :",
  ],
  many_guessed: [
    "The file is not Unicode; its letters were taken for Windows ones. Look at names with accents.",
    "Die Datei ist kein Unicode; ihre Buchstaben wurden als Windows-Zeichen gelesen. Namen mit Umlauten prüfen.",
    "Le fichier n’est pas en Unicode ; ses lettres ont été lues comme celles de Windows. Vérifiez les noms accentués.",
  ],
  many_more: [
    "The first {most} rows are shown; the file has all.",
    "Gezeigt sind die ersten {most} Zeilen; die Datei hat alle.",
    "Les {most} premières lignes sont affichées ; le fichier les a toutes.",
  ],
  many_of: ["{done} of {rows} rows.", "{done} von {rows} Zeilen.", "{done} lignes sur {rows}."],
  many_open: ["Open", "Öffnen", "Ouvrir"],
  many_open_row: [
    "Open row {number} in the form",
    "Zeile {number} im Formular öffnen",
    "Ouvrir la ligne {number} dans le formulaire",
  ],
  many_progress: ["Rows answered", "Beantwortete Zeilen", "Lignes traitées"],
  many_save: ["Save the answered file", "Beantwortete Datei speichern", "Enregistrer le fichier traité"],
  many_start: ["Save a file to start with", "Datei zum Anfangen speichern", "Enregistrer un fichier de départ"],
  many_stop: ["Stop", "Anhalten", "Arrêter"],
  many_stopped: ["Stopped.", "Angehalten.", "Arrêté."],
  margin: ["Margin", "Reserve", "Marge"],
  mass: ["Mass of the curtain", "Masse des Panzers", "Masse du tablier"],
  measured_radius: ["Measured coil radius", "Gemessener Radius des Ballens", "Rayon d’enroulement mesuré"],
  measured_radius_about: [
    "Rolled up, from the axis to the widest point; it counts instead of the calculated one.",
    "Aufgerollt, von der Achse bis zur dicksten Stelle; er gilt statt des gerechneten.",
    "Enroulé, de l’axe au point le plus large ; il remplace celui calculé.",
  ],
  measures: ["Opening", "Öffnung", "Baie"],
  missing: ["Still needed: {names}.", "Noch nötig: {names}.", "Il manque encore : {names}."],
  mistaken: [
    "A measure cannot be used; its field says why.",
    "Ein Maß ist nicht brauchbar; bei seinem Feld steht warum.",
    "Une cote est inutilisable ; son champ dit pourquoi.",
  ],
  mount: ["Tracks", "Führungsschienen", "Coulisses"],
  mount_about: [
    "Where the tracks stand; the curtain runs behind the header in both.",
    "Wo die Führungsschienen stehen; der Panzer läuft immer hinter dem Sturz.",
    "Où se trouvent les coulisses ; le tablier passe toujours derrière le linteau.",
  ],
  obstacle_add: ["Add an obstacle", "Hindernis hinzufügen", "Ajouter un obstacle"],
  obstacle_deep: ["Deep", "Tief", "En profondeur"],
  obstacle_deep_about: ["Inwards.", "Nach innen.", "Vers l’intérieur."],
  obstacle_high: ["High", "Hoch", "En hauteur"],
  obstacle_high_about: ["Upwards.", "Nach oben.", "Vers le haut."],
  obstacle_name: ["What it is", "Was es ist", "Ce que c’est"],
  obstacle_name_about: [
    "A lamp, a hinge, a shelf.",
    "Eine Lampe, ein Scharnier, ein Fachboden.",
    "Une lampe, une charnière, une tablette.",
  ],
  obstacle_one: ["Obstacle {number}", "Hindernis {number}", "Obstacle {number}"],
  obstacle_remove: ["Remove this obstacle", "Dieses Hindernis entfernen", "Retirer cet obstacle"],
  obstacle_x: ["Front edge", "Vorderkante", "Bord avant"],
  obstacle_x_about: [
    "Inwards from the outer face of the opening.",
    "Nach innen, von der Außenfläche der Öffnung.",
    "Vers l’intérieur depuis la face extérieure de la baie.",
  ],
  obstacle_z: ["Lower edge", "Unterkante", "Bord inférieur"],
  obstacle_z_about: [
    "Upwards from the header’s underside; with a minus sign below it.",
    "Nach oben, von der Unterkante des Sturzes; darunter mit Minus.",
    "Vers le haut depuis le dessous du linteau ; au-dessous, avec un moins.",
  ],
  obstacles: ["Things in the way", "Was im Weg ist", "Ce qui gêne"],
  obstacles_about: [
    "Boxes in the side section that nothing may touch.",
    "Kästen im Seitenschnitt, die nichts berühren darf.",
    "Des volumes, en coupe latérale, que rien ne doit toucher.",
  ],
  option_door_switch: ["Door switch", "Türschalter", "Contact de porte"],
  option_door_switch_about: [
    "Signals that the shutter is closed.",
    "Meldet, dass der Rollladen zu ist.",
    "Signale que le rideau est fermé.",
  ],
  option_drip_rail: ["Drip rail", "Tropfleiste", "Larmier"],
  option_drip_rail_about: [
    "A rail under the header that leads water off and carries the top seal.",
    "Eine Leiste unter dem Sturz, die Wasser ableitet und die Sturzdichtung trägt.",
    "Un profil sous le linteau, qui écarte l’eau et porte le joint de linteau.",
  ],
  option_electric_lock: ["Electric lock", "Elektroschloss", "Serrure électrique"],
  option_electric_lock_about: [
    "Bolts that a short current draws.",
    "Riegel, die ein kurzer Strom zieht.",
    "Des verrous qu’un bref courant retire.",
  ],
  option_inside_release: ["Inside release", "Innenentriegelung", "Déverrouillage intérieur"],
  option_inside_release_about: [
    "A handle that frees the bolts from inside.",
    "Ein Griff, der die Riegel von innen löst.",
    "Une poignée qui libère les verrous de l’intérieur.",
  ],
  option_perimeter_seal: ["Perimeter seal", "Rahmendichtung", "Joint périphérique"],
  option_perimeter_seal_about: [
    "A seal on the outer edge of jambs and header.",
    "Eine Dichtung auf der Außenkante von Leibungen und Sturz.",
    "Un joint sur l’arête extérieure des montants et du linteau.",
  ],
  option_pull_strap: ["Pull strap", "Zugband", "Sangle de tirage"],
  option_pull_strap_about: [
    "To reach the open bottom bar; its length needs the sill’s height above the ground.",
    "Um die offene Endleiste zu erreichen; die Länge braucht die Höhe der Schwelle über dem Boden.",
    "Pour atteindre la lame finale ouverte ; sa longueur demande la hauteur du seuil au-dessus du sol.",
  ],
  option_strip_light: ["Strip light", "Lichtleiste", "Réglette lumineuse"],
  option_strip_light_about: [
    "A light along each track.",
    "Ein Licht entlang jeder Führungsschiene.",
    "Une lumière le long de chaque coulisse.",
  ],
  options: ["Options", "Zubehör", "Options"],
  options_none: ["none", "keines", "aucune"],
  outcome_altered: [
    "Altered: the figures do not follow from the request.",
    "Verändert: Die Zahlen folgen nicht aus der Anfrage.",
    "Modifiée : les chiffres ne découlent pas de la demande.",
  ],
  outcome_identical: [
    "Genuine: calculated again, everything is the same.",
    "Echt: Noch einmal gerechnet ist alles gleich.",
    "Authentique : recalculée, tout est identique.",
  ],
  outcome_other_version: [
    "From another version or catalogue: it cannot be judged here.",
    "Aus einer anderen Version oder einem anderen Katalog: Hier nicht zu beurteilen.",
    "D’une autre version ou d’un autre catalogue : on ne peut en juger ici.",
  ],
  part: ["Part", "Teil", "Pièce"],
  parts: ["Parts", "Teile", "Pièces"],
  plan: [
    "Plan, cut through the track",
    "Grundriss, durch die Führungsschiene geschnitten",
    "Vue en plan, coupe par la coulisse",
  ],
  plan_alt: ["Plan cut to scale", "Grundriss, maßstäblich", "Coupe en plan, à l’échelle"],
  plate_offer: [
    "{id}: {deep} deep, {high} high",
    "{id}: {deep} tief, {high} hoch",
    "{id} : {deep} de profondeur, {high} de hauteur",
  ],
  plate_offset: ["Plate offset", "Plattenversatz", "Décalage des flasques"],
  plate_offset_about: [
    "How much higher than usual the side plates stand; with a minus sign lower.",
    "Wie viel höher als üblich die Seitenplatten stehen; tiefer mit Minus.",
    "De combien les flasques sont plus hauts que d’habitude ; plus bas, avec un moins.",
  ],
  print: ["Print this page", "Diese Seite drucken", "Imprimer cette page"],
  problem: ["Cannot be calculated", "Nicht zu rechnen", "Ne peut être calculé"],
  quantity: ["Quantity", "Menge", "Quantité"],
  range_cautions: ["Fits, with cautions: {range}.", "Passt mit Vorbehalt: {range}.", "Convient avec réserves : {range}."],
  range_contract: ["{range}", "{range}", "{range}"],
  range_fits: [
    "Fits: {range}; without cautions {easily}.",
    "Passt: {range}; ohne Vorbehalt {easily}.",
    "Convient : {range} ; sans réserve {easily}.",
  ],
  range_nothing: [
    "With the other measures as they are, no value fits.",
    "Mit den übrigen Maßen passt kein Wert.",
    "Les autres cotes étant ce qu’elles sont, aucune valeur ne convient.",
  ],
  reference: ["Whose opening it is", "Wessen Öffnung es ist", "À qui est cette baie"],
  reference_about: [
    "A name or number for this case; it stands on every sheet.",
    "Ein Name oder eine Nummer für diesen Fall; steht auf jedem Blatt.",
    "Un nom ou un numéro pour ce cas ; il figure sur chaque fiche.",
  ],
  request: ["The request, for programs", "Die Anfrage, für Programme", "La demande, pour les programmes"],
  request_curl: ["The request as curl", "Die Anfrage als curl", "La demande en curl"],
  request_json: ["The request as JSON", "Die Anfrage als JSON", "La demande en JSON"],
  request_sha256: ["Digest of the request", "Prüfsumme der Anfrage", "Empreinte de la demande"],
  result_sha256: ["Digest of the result", "Prüfsumme des Ergebnisses", "Empreinte du résultat"],
  road_speed: ["Road speed", "Fahrgeschwindigkeit", "Vitesse sur route"],
  road_speed_about: [
    "The greatest: the wind presses on the curtain.",
    "Die größte: Der Wind drückt auf den Panzer.",
    "La plus grande : le vent pousse sur le tablier.",
  ],
  row: ["Row", "Zeile", "Ligne"],
  section: ["Side section, closed and open", "Seitenschnitt, zu und offen", "Coupe latérale, fermé et ouvert"],
  section_alt: ["Side section to scale", "Seitenschnitt, maßstäblich", "Coupe latérale, à l’échelle"],
  service_years: ["Years", "Jahre", "Années"],
  service_years_about: [
    "How long the springs are to last.",
    "Wie lange die Federn halten sollen.",
    "Combien de temps les ressorts doivent durer.",
  ],
  sheet: ["Fitting sheet (PDF)", "Montageblatt (PDF)", "Fiche de pose (PDF)"],
  shutter: ["Shutter", "Rollladen", "Rideau"],
  side_plate: ["Side plate", "Seitenplatte", "Flasque"],
  side_plate_about: [
    "Carries bracket and wheel, one on each side.",
    "Trägt Lagerbock und Umlenkrolle, eine auf jeder Seite.",
    "Porte le support et le galet, un de chaque côté.",
  ],
  sill_above_ground: ["Sill above the ground", "Schwelle über dem Boden", "Seuil au-dessus du sol"],
  sill_above_ground_about: [
    "Says how long a pull strap is.",
    "Bestimmt die Länge eines Zugbands.",
    "Détermine la longueur d’une sangle de tirage.",
  ],
  sketch_front: ["from outside", "von außen", "de l’extérieur"],
  sketch_header: ["Header|thickness", "Sturzdicke", "Épaisseur|du linteau"],
  sketch_headroom: ["Headroom", "Sturz-|höhe", "Retombée|de linteau"],
  sketch_section: ["from the side, cut", "von der Seite, geschnitten", "de côté, en coupe"],
  slat: ["Slat", "Lamelle", "Lame"],
  slat_about: [
    "The profile that the curtain is made of.",
    "Das Profil, aus dem der Panzer ist.",
    "Le profil dont est fait le tablier.",
  ],
  slat_count: ["Slat count", "Lamellenzahl", "Nombre de lames"],
  slat_count_about: [
    "Slats of the shutter, counted without the bottom bar.",
    "Lamellen des Rollladens, ohne die Endleiste gezählt.",
    "Lames du rideau, comptées sans la lame finale.",
  ],
  slat_length: ["Slat length", "Lamellenlänge", "Longueur des lames"],
  slat_offer: [
    "{id}: {pitch} pitch, openings up to {width}",
    "{id}: Teilung {pitch}, Öffnungen bis {width}",
    "{id} : pas de {pitch}, baies jusqu’à {width}",
  ],
  slats: ["Slats", "Lamellen", "Lames"],
  slats_of: ["{count} × {slat}", "{count} × {slat}", "{count} × {slat}"],
  spoken: ["To say on the phone", "Am Telefon zu sagen", "À dire au téléphone"],
  state: ["State", "Stand", "État"],
  state_fails: ["fails", "nicht erfüllt", "non tenu"],
  state_ok: ["in order", "in Ordnung", "en ordre"],
  state_tight: ["tight", "knapp", "juste"],
  store: ["Save the answer (JSON)", "Antwort speichern (JSON)", "Enregistrer la réponse (JSON)"],
  supply: ["Supply", "Versorgung", "Alimentation"],
  supply_about: [
    "Voltage of the electrical options.",
    "Spannung des elektrischen Zubehörs.",
    "Tension des options électriques.",
  ],
  surroundings: ["Around the opening", "Rund um die Öffnung", "Autour de la baie"],
  survey: ["Measured in several places", "An mehreren Stellen gemessen", "Mesurée en plusieurs endroits"],
  survey_about: [
    "Stands in place of width and height, as seen from outside. What stays blank does not count.",
    "Steht anstelle von Breite und Höhe, von außen gesehen. Was leer bleibt, zählt nicht.",
    "Remplace largeur et hauteur, vu de l’extérieur. Ce qui reste vide ne compte pas.",
  ],
  survey_diagonals: [
    "Diagonals: from upper left, from upper right",
    "Diagonalen: von oben links, von oben rechts",
    "Diagonales : d’en haut à gauche, d’en haut à droite",
  ],
  survey_diagonals_one: ["Diagonal {number}", "Diagonale {number}", "Diagonale {number}"],
  survey_heights: [
    "Heights, from left to right, 2 to 5",
    "Höhen, von links nach rechts, 2 bis 5",
    "Hauteurs, de gauche à droite, 2 à 5",
  ],
  survey_heights_one: ["Height {number}", "Höhe {number}", "Hauteur {number}"],
  survey_widths: [
    "Widths, from top to bottom, 2 to 5",
    "Breiten, von oben nach unten, 2 bis 5",
    "Largeurs, de haut en bas, 2 à 5",
  ],
  survey_widths_one: ["Width {number}", "Breite {number}", "Largeur {number}"],
  temperature_max: ["Hottest", "Wärmste Temperatur", "Température maximale"],
  temperature_max_about: ["Slats grow with it.", "Die Lamellen werden dabei länger.", "Les lames s’allongent."],
  temperature_min: ["Coldest", "Kälteste Temperatur", "Température minimale"],
  temperature_min_about: ["Slats shrink with it.", "Die Lamellen werden dabei kürzer.", "Les lames se raccourcissent."],
  template: ["Drilling template 1:1 (PDF)", "Bohrschablone 1:1 (PDF)", "Gabarit de perçage 1:1 (PDF)"],
  title: ["Lathwind: will the shutter fit?", "Lathwind: Passt der Rollladen?", "Lathwind : le rideau convient-il ?"],
  tolerance: ["Measuring tolerance", "Messtoleranz", "Tolérance de mesure"],
  tolerance_about: [
    "How well the tape was read; a smaller margin is called tight.",
    "Wie genau gemessen wurde; eine kleinere Reserve heißt knapp.",
    "La précision du mètre ; une marge plus petite est dite juste.",
  ],
  top_seal: ["Top seal cut", "Zuschnitt der Sturzdichtung", "Coupe du joint de linteau"],
  track_length: ["Track length", "Länge der Führungsschienen", "Longueur des coulisses"],
  tube: ["Tube", "Welle", "Tube"],
  tube_about: [
    "The curtain winds on it; the springs are inside.",
    "Auf sie wickelt sich der Panzer; die Federn sind darin.",
    "Le tablier s’y enroule ; les ressorts sont dedans.",
  ],
  tube_length: ["Tube length", "Länge der Welle", "Longueur du tube"],
  tube_offer: ["{id}: {across} across", "{id}: Durchmesser {across}", "{id} : diamètre {across}"],
  unauthorized: [
    "The service asks for a key, or does not know this one. Enter it above.",
    "Der Dienst verlangt einen Schlüssel oder kennt diesen nicht. Bitte oben eingeben.",
    "Le service demande une clé, ou ne connaît pas celle-ci. Saisissez-la ci-dessus.",
  ],
  units: ["Units", "Einheiten", "Unités"],
  units_in: ["inches", "Zoll", "pouces"],
  units_mm: ["mm", "mm", "mm"],
  unreachable: [
    "The service cannot be reached. What stands here is of before.",
    "Der Dienst ist nicht erreichbar. Was hier steht, ist von vorhin.",
    "Le service est injoignable. Ce qui est affiché date d’avant.",
  ],
  up_to: ["up to {most}", "bis {most}", "jusqu’à {most}"],
  value: ["Value", "Wert", "Valeur"],
  verdict: ["Verdict", "Urteil", "Verdict"],
  verify: ["Verify a stored answer", "Gespeicherte Antwort prüfen", "Vérifier une réponse enregistrée"],
  verify_about: [
    "It is calculated again from its own request and compared.",
    "Sie wird aus ihrer eigenen Anfrage noch einmal gerechnet und verglichen.",
    "Elle est recalculée à partir de sa propre demande et comparée.",
  ],
  verify_do: ["Verify what is pasted", "Eingefügtes prüfen", "Vérifier le texte collé"],
  verify_file: ["From a file:", "Aus einer Datei:", "Depuis un fichier :"],
  verify_paste: ["Or paste it here:", "Oder hier einfügen:", "Ou collez-la ici :"],
  view_many: ["Many, from a table", "Viele, aus einer Tabelle", "Plusieurs, d’un tableau"],
  view_one: ["One opening", "Eine Öffnung", "Une baie"],
  views: ["Views", "Ansichten", "Vues"],
  waiting: [
    "The answer stands here as soon as the five measures are there.",
    "Die Antwort steht hier, sobald die fünf Maße da sind.",
    "La réponse s’affiche ici dès que les cinq cotes sont là.",
  ],
  wall_gap_left: ["Wall gap, left", "Wandabstand links", "Jeu à la paroi, à gauche"],
  wall_gap_left_about: [
    "Between the track’s outer edge and the wall beside the plate.",
    "Zwischen der Außenkante der Führungsschiene und der Wand neben der Platte.",
    "Entre le bord extérieur de la coulisse et la paroi près du flasque.",
  ],
  wall_gap_right: ["Wall gap, right", "Wandabstand rechts", "Jeu à la paroi, à droite"],
  wall_gap_right_about: [
    "The same on the right, as seen from outside.",
    "Dasselbe rechts, von außen gesehen.",
    "De même à droite, vu de l’extérieur.",
  ],
  warnings: ["What to know", "Was zu wissen ist", "À savoir"],
  warnings_none: ["No warnings.", "Keine Warnungen.", "Aucun avertissement."],
  width: ["Width", "Breite", "Largeur"],
  width_about: [
    "Clear width between the jambs, where it is least.",
    "Lichte Breite zwischen den Leibungen, an der engsten Stelle.",
    "Largeur libre entre les montants, là où elle est la plus petite.",
  ],
  work: ["Order of work", "Arbeitsfolge", "Ordre du travail"],
};

/** @type {0 | 1 | 2} */
let spoken = 0;

export function language() {
  return LANGUAGES[spoken];
}

/** @param {string} chosen */
export function setLanguage(chosen) {
  const found = LANGUAGES.findIndex((one) => one === chosen);
  spoken = /** @type {0 | 1 | 2} */ (Math.max(found, 0));
  document.documentElement.lang = language();
}

/** @type {Record<string, Record<string, string>>} as the service wrote them into the page */
const LABELS = JSON.parse(document.getElementById("labels")?.textContent || "{}");

/**
 * What the service calls a verdict, a severity, a check or a warning.
 * @param {string} code
 */
export function label(code) {
  return LABELS[language()]?.[code] ?? code;
}

/**
 * A text in the language that is chosen.
 * @param {string} key
 * @param {Record<string, string>} [places] what stands in its places
 */
export function say(key, places = {}) {
  const texts = TEXTS[key];
  if (!texts) throw new Error(`no text ${key}`);
  return texts[spoken].replace(/\{(\w+)\}/g, (_, name) => places[name] ?? "");
}

/**
 * Say the texts that are named in the page: `data-text` inside an element, `data-label` as its label for screen readers,
 * `data-lines` as lines of a drawing; `data-place` is the number in a text.
 * @param {Element} root
 */
export function translate(root) {
  for (const one of root.querySelectorAll("[data-text]")) {
    one.textContent = say(one.getAttribute("data-text") ?? "", { number: one.getAttribute("data-place") ?? "" });
  }
  for (const one of root.querySelectorAll("[data-label]")) one.setAttribute("aria-label", say(one.getAttribute("data-label") ?? ""));
  for (const one of root.querySelectorAll("text[data-lines]")) {
    const lines = say(one.getAttribute("data-lines") ?? "").split("|").map((line, index) => {
      const part = document.createElementNS("http://www.w3.org/2000/svg", "tspan");
      part.setAttribute("x", one.getAttribute("x") ?? "0");
      if (index) part.setAttribute("dy", "15");
      part.textContent = line;
      return part;
    });
    one.replaceChildren(...lines);
  }
}
