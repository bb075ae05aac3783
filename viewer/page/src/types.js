/**
 * The shape of what a page is made of, as Python writes it (viewer/page/shape.py holds the same, and a test compares).
 * Lengths mm, angles degrees, points and poses in the engine frame E unless a frame is named beside them.
 * Whatever a person reads (words, numbers with units, verdicts) comes ready written from Python.
 */

/**
 * The closed form of one frame's motion: geometry/kinematics/laws.py, same names.
 * @typedef {object} Law
 * @property {'fixed'|'spin'|'piston'|'rod'|'valve'} kind
 * @property {number} x_mm
 * @property {number} y_mm
 * @property {number} z_mm
 * @property {number} turn_deg
 * @property {number} rate
 * @property {number} sense
 * @property {number} bank_deg
 * @property {number} pin_deg
 * @property {number} throw_mm
 * @property {number} rod_mm
 * @property {number} offset_mm
 * @property {number} full_deg
 * @property {number} lift_scale_mm
 * @property {number} lift_shut
 * @property {number} lift_ramp_mm
 * @property {number} lift_rate
 */

/**
 * @typedef {object} Frame
 * @property {string} name
 * @property {Law} law
 */

/**
 * One triangle mesh in the packed bytes; `fine` for standing still, `coarse` for motion.
 * @typedef {object} Packed
 * @property {number} at first byte
 * @property {number} vertices
 * @property {number} triangles
 * @property {number} edges sharp edges, marked at the triangles beside them
 * @property {number[]} low_mm lower corner of its box, (3)
 * @property {number[]} step_mm length of one step of a coordinate, (3)
 */

/**
 * @typedef {object} Solid
 * @property {Packed} fine
 * @property {Packed} coarse
 */

/**
 * @typedef {object} Look
 * @property {number[]} colour sRGB, 0 to 1, (3)
 * @property {number} metallic
 * @property {number} roughness
 * @property {string} turned the look of what is bored, turned or ground of it
 * @property {string} cut the look of a face cut through it
 */

/**
 * @typedef {object} Body
 * @property {string} name
 * @property {string} words as a builder calls it
 * @property {string} group family of parts
 * @property {string} look
 * @property {number|null} bore
 * @property {string} frame
 * @property {number[]} pose X_FA, the first three rows, (12)
 * @property {number} solid index into Page.solids
 * @property {number} apart how far it moves along its frame's z when its bore is spread apart, mm
 */

/**
 * @typedef {object} Family
 * @property {string} name
 * @property {string} words
 * @property {boolean} encloses block, head, gasket, pan: glass, cut or away
 * @property {boolean} hidden from the start
 */

/**
 * @typedef {object} Bore
 * @property {number} bore the builder's number
 * @property {string} bank
 * @property {number} bank_deg about +x
 * @property {number} x_mm
 * @property {number} top_deg crank angle of its own top dead centre
 * @property {number} bottom_deg
 * @property {number} deck_mm height of the deck along the bore
 * @property {number} crown_mm crown above the piston pin
 * @property {number} radius_mm
 * @property {number[]} thrust unit vector to the major thrust side, (3)
 */

/**
 * One place worth going to, from geometry.checks.troubles: what comes too close or stands wrong.
 * @typedef {object} Place
 * @property {string} id
 * @property {string} kind
 * @property {string} group like places of other bores share it
 * @property {'stop'|'look'|'note'} severity
 * @property {string} words
 * @property {string} value
 * @property {string} limit
 * @property {string} source
 * @property {string} verdict
 * @property {number|null} bore
 * @property {number|null} crank_deg
 * @property {string[]} bodies
 * @property {number[]|null} a_mm
 * @property {number[]|null} b_mm
 * @property {'near'|'rings'|'chamfer'} look
 * @property {number[]|null} curve_mm distance over the turn, evenly from 0 to period_deg
 * @property {number} period_deg
 * @property {number|null} limit_mm
 */

/**
 * One ring's place on a clock.
 * @typedef {object} RingMark
 * @property {string} ring
 * @property {string} words
 * @property {number} clock_deg clockwise seen from above, 0 at the front
 * @property {string} degrees
 * @property {string} hour
 * @property {number|null} planned_deg where the scheme puts it, if it was found elsewhere
 * @property {string} gap
 * @property {string} limit
 * @property {string} source
 * @property {string} verdict
 * @property {'stop'|'look'|'note'} severity
 * @property {string} way_up
 */

/**
 * Something that stands still on the piston, seen from above.
 * @typedef {object} Arc
 * @property {string} words
 * @property {number} centre_deg
 * @property {number} half_deg
 */

/**
 * The smallest distance between two ring gaps.
 * @typedef {object} ClosestGaps
 * @property {number} first_deg
 * @property {number} sweep_deg
 * @property {string} words
 */

/**
 * @typedef {object} Clock
 * @property {number[]} bores that share it
 * @property {number} thrust_deg
 * @property {string} thrust_words the major thrust side, in the builder's words
 * @property {boolean} turned the piston went in turned round
 * @property {Arc[]} bosses of the piston pin
 * @property {Arc[]} pockets for the valves
 * @property {ClosestGaps|null} closest
 * @property {'stop'|'look'|'note'} severity
 * @property {string[]} said the verdict on the clock, then what goes with it
 * @property {RingMark[]} rings
 * @property {string} scheme
 */

/**
 * @typedef {object} Row
 * @property {string[]} cells
 * @property {'stop'|'look'|'note'|''} severity
 * @property {number[]} bores that it is about; none where it is about all, or the whole engine
 */

/**
 * @typedef {object} Finding
 * @property {'stop'|'look'|'note'} severity
 * @property {number|null} bore
 * @property {string} text
 * @property {string} remedy
 */

/**
 * A table of answers, as `check` prints it.
 * @typedef {object} Section
 * @property {string} key
 * @property {string} title
 * @property {boolean} single one row, read downwards
 * @property {string[]} headings
 * @property {Row[]} rows
 * @property {Row[]} more every row, where `rows` holds only the worst of each kind; else none
 * @property {Finding[]} findings
 * @property {string[]} notes assumptions and sources
 */

/**
 * A plane drawing made beforehand.
 * @typedef {object} Drawing
 * @property {string} key
 * @property {number|null} bore
 * @property {string} words what it shows, for who cannot see it
 * @property {'stop'|'look'|'note'} severity
 * @property {string[]} legend what the numbers in it name, from 1
 * @property {string[]} said its numbers with limit, source and verdict
 * @property {string} svg
 */

/**
 * How all of an engine stands.
 * @typedef {object} Verdict
 * @property {'stop'|'look'|'note'} severity
 * @property {string} words
 * @property {string} said what else there is to say, empty where nothing is
 */

/**
 * One engine on show: as designed, as built, put together right or wrong.
 * @typedef {object} Variant
 * @property {string} key
 * @property {string} words
 * @property {Verdict} verdict
 * @property {number} cycle_deg
 * @property {number} speed_rpm at which speed and acceleration are told
 * @property {Frame[]} frames
 * @property {Body[]} bodies
 * @property {Bore[]} bores
 * @property {Place[]} places
 * @property {Clock[]} clocks
 * @property {Section[]} sections
 * @property {Drawing[]} drawings
 */

/**
 * A picture made beforehand, for paper and for who has no WebGL.
 * @typedef {object} Picture
 * @property {string} source data: address
 * @property {string} words
 * @property {number} width
 * @property {number} height
 */

/**
 * One number of a mistake, right and wrong side by side.
 * @typedef {object} Figure
 * @property {string} words
 * @property {string} right
 * @property {string} wrong
 * @property {string} limit
 * @property {string} source
 * @property {string} verdict
 * @property {'stop'|'look'|'note'|''} severity
 */

/**
 * A mistake that the page explains: what is written beside right and wrong.
 * @typedef {object} Mistake
 * @property {string} key
 * @property {string} title
 * @property {string} place
 * @property {number|null} bore
 * @property {string} different what is physically different; in this and the other texts of a customer's page terms stand in [[ ]]
 * @property {string} recorded whether the build record shows it, in words; empty where there is no record
 * @property {string[]} bodies
 * @property {number[]|null} at_mm
 * @property {number|null} crank_deg
 * @property {number[]} swing_deg where the picture moves to and fro by itself, (2)
 * @property {string} label what stands over the wrong half, behind `Wrong`
 * @property {Figure[]} numbers
 * @property {string} text
 * @property {string} felt
 * @property {string} look_for
 * @property {string} cure
 * @property {Picture[]} halves right and wrong as plane drawings; none where they could not be drawn
 */

/**
 * What the customer reads, in order.
 * @typedef {object} Chapter
 * @property {string} title
 * @property {string[]} paragraphs terms of the trade stand in [[ ]]
 */

/**
 * @typedef {object} Page
 * @property {string} version
 * @property {string} title
 * @property {'in'|'mm'} units
 * @property {'builder'|'customer'} voice
 * @property {string} shop
 * @property {string} job
 * @property {string} date
 * @property {string} assumed
 * @property {string[]} cautions
 * @property {number} sense +1: the crank turns positively about +x
 * @property {Solid[]} solids
 * @property {Object<string, Look>} looks
 * @property {Family[]} families
 * @property {Variant[]} variants
 * @property {string[]} shown keys of the one or two variants that are on show at first
 * @property {Mistake|null} mistake
 * @property {Chapter[]} chapters
 * @property {Object<string, string>} glossary
 * @property {Picture[]} pictures
 * @property {boolean} live served by this machine
 */

export {};
