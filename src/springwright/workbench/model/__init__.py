"""An open design: its file and every state of it, what may be written where, and what is worked out of it elsewhere.

- `axle_alone`: An axle of a design that is not whole yet, by itself as a whole design, so that what is known of it
  can be drawn (`axle_alone`).
- `building`: Building a design: tables begun, turned into another kind and taken out, axles put in and out. What a
  turn takes out is put aside, not thrown away (`begin`, `rivals`, `turned`, `out` and more).
- `chain`: The rate chain read backwards: a rate that is written over becomes the target that gives it (`is_rate`,
  `rate_at`, `written_over`, `overruled`).
- `document`: One design open on the desk: the last good state, every state before and after it, what is wrong in a
  blank, and the file on disk (`Wrong`, `Step`, `Document`, `figure_shown` and more).
- `jobs`: What the slow process can do: each takes a design and a way to tell of its progress, and gives the result
  (`warm`, `answers`, `alone`, `moving` and more).
- `reading`: A design's text as it comes to the desk: from the disk, from a crash, from the page. Nothing outside
  its folder is read for it (`stays_beside`, `check_opens`, `check_sized`, `as_written`).
- `readings_desk`: The readings file of a design on the desk: written in blank by blank, each valid one kept in the
  file at once, with undo (`ReadingsDesk`).
- `shown`: What was worked out for the page besides the sizing (`Study`, `Shown`).
- `unfinished`: A design that wants values before it can be worked out: its text, what is still empty, and what is
  to be mended (`Unfinished`, `begun`).
- `view`: What the whole page is shown for: load state, ground, speed, units, and what is folded, open or looked at
  closer (`View`, `grounds_of`).
- `work`: Slow work away from the page: one process of its own that answers questions, draws windows, drives and
  typesets (`Job`, `Dropped`, `Worker`, `give_back`).
"""
