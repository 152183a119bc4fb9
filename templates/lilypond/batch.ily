% Settings for engraving many exercises in one run: one picture a system, and memory tidied after every few books
% instead of after each (the process starts with GC_DONT_GC set), which saves a sixth of the time for forty megabytes.
\include "lilypond-book-preamble.ly"
#(define books-per-tidying 4)
#(define books-engraved 0)
#(let ((engrave print-book-with-defaults-as-systems))
   (set! toplevel-book-handler
     (lambda (book)
       (engrave book)
       (set! books-engraved (1+ books-engraved))
       (if (zero? (remainder books-engraved books-per-tidying))
           (begin (gc-enable) (gc) (gc-disable))))))
