"""What was found on the bench: the record of one real build, kept beside the engine file.

========= =====================================================================================
entry     the kinds of entry: readings, which way round, what was found
model     what a record file holds
load      from the file to the model, or to one clear line for everything wrong with it
store     saving so that nothing acknowledged is ever lost, whoever else is writing
document  putting entries into the text of a file, comments and order left alone
place     bores, mains and the crank as places, and their sides in words
words     the words of ``record set``: place, path, values
entries   words in, entries safely on the disk
readings  what a reading proves, with its instrument's resolution
limits    what each reading is held against, and on whose word
catalogue everything that can be recorded, in the order of the job
clocking  ring gap angles as installed, judged
wording   what a wrong entry means, in the trade's words
todo      what is still unmeasured
verdicts  what the entries say
overlay   the design with the record laid over it
========= =====================================================================================
"""
