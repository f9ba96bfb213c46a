"""The intermediate shaft: joints, phase, layout, lengths, room round it, and strength as an aid."""
