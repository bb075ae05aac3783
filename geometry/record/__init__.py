"""What was found on the bench: the record of one real build, kept beside the engine file.

=========== ====================================================================================
kind        what one row knows of a kind of reading; the bench on which it is asked of an engine
kinds       the rows: a new kind of reading is one of them, and nothing else
catalogue   all rows in the order of the job, found in their folder
entry       the models of an entry: readings, which way round, what was found
model       what a record file holds; ``form`` adds the tables that follow from the rows
limits      what a reading is held against, and what it means to be outside
instruments what each instrument can tell apart
load        from the file to the model, or to one clear line for everything wrong with it
store       saving so that nothing acknowledged is ever lost, whoever else is writing
document    putting entries into the text of a file, comments and order left alone
place       bores, mains and the crank as places, and their sides in words
words       the words of ``record set``: place, path, values
entries     words in, entries safely on the disk
exchange    the same for who has seen what goes
history     what two states of a record differ in
head        whose build it is, the instruments, the record's own limits: what is about no place
steps       what was saved in one piece, kept beside the record; ``undo`` takes the last of it back
table       the record as a table, or a form of what is to do; ``importing`` reads one, all or nothing
asking      one question after another, in the order of the job
blank       what is filled in to make an entry: units, choices, feeler pairs
bench       a place with everything that can be entered there, and what it would say
readings    what a reading proves, with its instrument's resolution
judging     from a reading to its verdict; ``gap`` and ``clocking`` for the rings'
verdicts    what the entries say
todo        what is still unmeasured
overlay     the design with the record laid over it
section     the verdicts as a section of the check
faults      the faults of a built engine, each told once: what check, verdict, page and build sheet list
=========== ====================================================================================
"""
