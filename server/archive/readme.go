package archive

// readme is README.txt: for somebody who finds the file in thirty years and knows nothing of this tool.
const readme = `WHAT THIS IS

Everything that one workshop job has recorded about the two engines it rebuilt,
written by a tool called Witnessmark. It is a plain zip file, not compressed and
not locked. Every file in it is text (UTF-8) or a photo or sound as it was taken.
No program but an editor, a spreadsheet and a picture viewer is needed to read it.

THE FILES

manifest.json     What this is a copy of: the job, how many entries, and the
                  SHA-256 check sum of every other file here. Photos that had
                  not arrived when this was written are named in it.
entries.ndjson    The record itself: one entry a line, in the order in which the
                  office received them, each exactly as the phone sent it. An
                  entry is a JSON object: "at" is what the phone's clock said,
                  "by" who wrote it, "kind" what it is (a reading, a tightening,
                  a note ...), "body" what it says. Entries are never changed: a
                  correction is a later entry that names the earlier one in
                  "over". The name of an entry is the SHA-256 of its line,
                  without the line feed. "prev" is the name of the entry before
                  it in the same phone's log.
record.json       What the entries together say: engines, places, readings,
                  what was struck out and why. Worked out from entries.ndjson.
results.json      What follows from the readings: values, uncertainties,
                  verdicts and the working line by line, with the version of the
                  rules ("core"). Worked out from entries.ndjson.
photos/           Photos and voice notes as they were taken. The file's name is
                  the SHA-256 of its bytes; entries name it in "sha". A photo may
                  hold the position at which it was taken.
csv/              Tables for a spreadsheet (RFC 4180, commas, UTF-8). Each value
                  stands as it was written, with its unit, and beside it in SI;
                  the unit of an SI column is in its head. An apostrophe before
                  a text keeps a spreadsheet from changing it; it is not part of
                  the text.

HOW TO READ A VALUE

In entries.ndjson a value is {"t":"74.981","u":"mm"}: the text as somebody wrote
it, and the unit. "to" makes it 'between t and to', "is" makes it 'at least',
'at most' or nil. Nothing was rounded or converted there. Sides (left, right) are
dated facts: every entry names the engine by its serial.

IS IT WHOLE?

On most computers: sha256sum FILE. Compare with manifest.json. An archive that
lacks anything is not taken in by the tool, and says what is missing.

PEOPLE

entries.ndjson and record.json hold the names of the people who worked on the
job. They cannot be left out without breaking the check sums that hold the record
together. If this copy was written without names, they are missing from csv/ only.

Limits, torques and figures here are what this group found and decided on its own
two engines. The maker's manual comes first, and a limit of another engine is not
one for yours.
`
