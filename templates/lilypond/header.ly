\version "2.24.0"
\language "english"
#(set-global-staff-size @{staff_size_pt})

#(define ((mark font-steps face) text)
   (make-pad-x-markup @{mark_air_sp} (make-fontsize-markup font-steps (face text))))
#(define letter-mark (mark @{letter_steps} make-italic-markup))
#(define loudness-mark (mark @{loudness_steps} make-dynamic-markup))
#(define (numeral-mark text)
   (make-pad-x-markup @{numeral_air_sp} (make-fontsize-markup @{numeral_steps} (make-bold-markup text))))
#(define digit-mark (mark @{digit_steps} make-number-markup))
#(define (ring-mark text)
   (make-pad-x-markup @{mark_air_sp}
     (make-vcenter-markup
       (make-override-markup '(circle-padding . @{ring_padding_sp})
         (make-circle-markup (make-fontsize-markup @{ring_steps} (make-number-markup text)))))))
#(define-markup-command (letter layout props text) (string?)
   (interpret-markup layout props (letter-mark text)))
#(define-markup-command (loudness layout props text) (string?)
   (interpret-markup layout props (loudness-mark text)))
#(define word-mark (mark @{loudness_steps} make-italic-markup))
#(define-markup-command (word layout props text) (string?)
   (interpret-markup layout props (word-mark text)))
#(define-markup-command (direction layout props text) (string?)
   (interpret-markup layout props ((mark @{numeral_steps} make-bold-markup) text)))
#(define-markup-command (way layout props text) (string?)
   (interpret-markup layout props ((mark @{numeral_steps} make-italic-markup) text)))
#(define-markup-command (place layout props name) (string?)
   (interpret-markup layout props ((mark @{place_steps} make-musicglyph-markup) (string-append "scripts." name))))
#(define-markup-command (beside layout props parts) (markup-list?)
   (interpret-markup layout props (make-line-markup parts)))
#(define-markup-command (loudnessAndWord layout props sign text) (string? string?)
   (interpret-markup layout props
     (make-concat-markup (list (loudness-mark sign) (make-hspace-markup @{hairpin_gap_sp}) (word-mark text)))))
hairpin = #(define-event-function (ends wedge) (number-pair? ly:event?) #{ \tweak shorten-pair #ends #wedge #})
dashesFrom = #(define-event-function (gap) (number?)
  #{ \tweak style #'dashed-line \tweak bound-details.left.padding #gap \tweak bound-details.right.text ##f \startTextSpan #})
#(define-markup-command (numeral layout props text) (string?)
   (interpret-markup layout props (numeral-mark text)))
#(define (angle-bracket way)
   (make-path-markup @{node_line_sp}
     `((moveto ,(* way @{node_bracket_sp}) @{node_height_sp}) (lineto 0 0)
       (lineto ,(* way @{node_bracket_sp}) -@{node_height_sp}))))
#(define (bracketed text)
   (make-concat-markup
     (list (angle-bracket 1) (make-hspace-markup @{node_gap_sp}) (make-vcenter-markup text)
           (make-hspace-markup @{node_gap_sp}) (angle-bracket -1))))
#(define-markup-command (node layout props text) (string?)
   (interpret-markup layout props
     (make-pad-x-markup @{mark_air_sp} (bracketed (make-fontsize-markup @{node_steps} ((if (string-any char-alphabetic? text) make-bold-markup make-number-markup) text))))))
#(define-markup-command (digit layout props text) (string?)
   (interpret-markup layout props (digit-mark text)))
#(define-markup-command (ring layout props text) (string?)
   (interpret-markup layout props (ring-mark text)))
#(define guide-dash
   (make-line-markup (list (make-translate-markup (cons 0 @{guide_foot_sp}) (make-override-markup '(thickness . @{guide_line}) (make-draw-line-markup (cons @{guide_dash_sp} @{guide_rise_sp})))))))
#(define (guided-text text) (make-concat-markup (list guide-dash (make-hspace-markup @{guide_gap_sp}) text)))
#(define-markup-command (guidedDigit layout props text) (string?)
   (interpret-markup layout props (guided-text (digit-mark text))))
#(define (barre-mark letter share fret)
   (make-pad-x-markup @{mark_air_sp}
     (make-fontsize-markup @{numeral_steps}
       (make-bold-markup
         (make-concat-markup
           (if (string-null? share)
               (list letter (make-hspace-markup @{barre_space_sp}) fret)
               (list letter (make-hspace-markup @{half_barre_space_sp})
                     (make-raise-markup @{barre_fraction_raised_sp} (make-fontsize-markup @{barre_fraction_steps} share))
                     (make-hspace-markup @{barre_space_sp}) fret)))))))
#(define-markup-command (barre layout props letter share fret) (string? string? string?)
   (interpret-markup layout props (barre-mark letter share fret)))
% A line that goes on over a break and ends with the first note there has its sign alone: no room is left for a line.
#(define (sign-alone-when-short line)
   (let* ((left (ly:spanner-bound line LEFT)) (right (ly:spanner-bound line RIGHT)) (system (ly:grob-system line))
          (room (- (ly:grob-relative-coordinate right system X) (cdr (ly:grob-extent left system X)))))
     (if (and (eq? CENTER (ly:item-break-dir right)) (not (eq? CENTER (ly:item-break-dir left))) (< room @{broken_line_from_sp}))
         (begin
           (ly:grob-set-nested-property! line '(bound-details right text) #f)
           (ly:grob-set-property! line 'style 'none)))))
#(define ((line-of-hand style) gap sign)
   #{ \tweak after-line-breaking #sign-alone-when-short \tweak Y-offset #@{barre_line_height_sp} \tweak style #style \tweak bound-details.left.padding #gap \tweak bound-details.left-broken.text #sign \tweak bound-details.left-broken.padding #@{broken_line_gap_sp} \startTextSpan #})
barreLine = #(define-event-function (gap sign) (number? markup?) ((line-of-hand 'line) gap sign))
stringLine = #(define-event-function (sign) (markup?)
  #{ \tweak bound-details.left-broken.text #sign \tweak bound-details.left-broken.padding #@{broken_line_gap_sp} \startTextSpan #})
nodeLine = #(define-event-function (sign) (markup?)
  #{ \tweak bound-details.left.padding #@{node_line_gap_sp} #(stringLine sign) #})
hingeLine = #(define-event-function (gap sign) (number? markup?) ((line-of-hand 'dashed-line) gap sign))
touched = \tweak style #'harmonic-mixed \etc
touchedFret = #(define-music-function (stopped place head) (string? string? ly:music?)
  (let ((fret (bracketed place)))
    #{ \tweak text #(if (string-null? stopped) fret (make-concat-markup (list (make-vcenter-markup stopped) (make-hspace-markup @{node_gap_sp}) fret))) #head #}))
guided = -\tweak text
  #(lambda (grob) (guided-text (number->string (ly:event-property (event-cause grob) 'digit)))) \etc
#(define-markup-command (letterStack layout props parts) (markup-list?)
   (interpret-markup layout props
     (make-override-markup '(baseline-skip . @{letter_distance_sp}) (make-center-column-markup parts))))
#(define-markup-command (stack layout props parts) (markup-list?)
   (interpret-markup layout props
     (make-override-markup '(baseline-skip . @{row_distance_sp}) (make-center-column-markup parts))))
#(define-markup-command (stringName layout props letter sign) (string? markup?)
   (interpret-markup layout props
     (make-fontsize-markup @{string_name_steps}
       (make-vcenter-markup (make-concat-markup (list letter (make-raise-markup 0.3 (make-fontsize-markup -3 sign))))))))
% Over a plain line, tuplet numbers stand in a row of their own outside the digits, unless beams reach higher.
#(define (tuplets-in-a-row bracket)
   (let ((own (ly:tuplet-bracket::calc-positions bracket)))
     (if (eqv? UP (ly:grob-property bracket 'direction))
         (let ((height (max @{tuplet_row_sp} (car own) (cdr own)))) (cons height height))
         own)))
% Digits over the notes of a plain line; unseen brackets keep the circles off the tuplet numbers.
plainLine = \with {
  fingeringOrientations = #'(up)
  \override Fingering.add-stem-support = ##t
  \override TupletBracket.positions = #tuplets-in-a-row
  \override TupletBracket.bracket-visibility = ##t
  \override TupletBracket.transparent = ##t
}
% Slurred notes keep a distance at which each is seen; long slurs are long enough.
#(define (room-under-slur slur)
   (let ((steps (1- (ly:grob-array-length (ly:grob-object slur 'note-columns)))))
     (+ @{slur_ends_sp} (* @{slur_step_sp} (max 1 (min 3 steps))))))
#(define ((string-names names) grob)
   (let ((highest (* @{half_tablature_line_sp} (1- (length names)))))
     (define (placed name line)
       (ly:stencil-translate-axis
         (ly:stencil-aligned-to (grob-interpret-markup grob name) X CENTER)
         (- highest (* @{tablature_line_sp} line)) Y))
     (ly:stencil-aligned-to (apply ly:stencil-add (map placed names (iota (length names)))) X LEFT)))
reversal = \markup \scale #'(0.9 . 0.9) \path #0.12 #'(
  (moveto -0.9 0) (lineto 0.3 0) (curveto 1.1 0 1.1 0.9 0.3 0.9) (lineto -0.5 0.9)
  (moveto -0.1 1.25) (lineto -0.6 0.9) (lineto -0.1 0.55))
#(define-markup-command (planted layout props text) (string?)
   (let* ((letters (interpret-markup layout props
            (make-fontsize-markup @{planted_steps} (letter-mark text))))
          (reach (ly:stencil-extent letters X))
          (foot (- (interval-start (ly:stencil-extent letters Y)) @{planted_gap_sp})))
     (ly:stencil-add letters
       (make-path-stencil
         (list 'moveto (interval-start reach) (+ foot @{planted_tick_sp})
               'lineto (interval-start reach) foot
               'lineto (interval-end reach) foot
               'lineto (interval-end reach) (+ foot @{planted_tick_sp}))
         0.1 1 1 #f))))

loneTablatureStems = {
  \stemDown \tupletDown
  \override Beam.positions = #'(@{tablature_beam_sp} . @{tablature_beam_sp})
  \override Stem.length = #(lambda (stem) (- (ly:grob-property stem 'stem-begin-position) @{twice_tablature_beam_sp}))
}

\paper {
  indent = 0
  paper-width = @{paper_width_mm}\mm
  left-margin = @{margin_mm}\mm
  right-margin = @{margin_mm}\mm
  tagline = ##f
  blot-diameter = 0
}

\layout {
  \context {
    \name MarkRow
    \type Engraver_group
    \consists Lyric_engraver
    \consists Text_spanner_engraver
    \consists Dynamic_engraver
    \consists Axis_group_engraver
    \consists Pure_from_neighbor_engraver
    \override VerticalAxisGroup.nonstaff-nonstaff-spacing = #'((basic-distance . 0) (minimum-distance . @{row_distance_sp}) (padding . 0.3))
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing = #'((basic-distance . 0) (padding . @{row_padding_sp}))
    \override VerticalAxisGroup.nonstaff-unrelatedstaff-spacing = #'((basic-distance . 0) (padding . @{row_clearance_sp}))
    \override LyricText.vertical-skylines = #(ly:make-unpure-pure-container ly:grob::simple-vertical-skylines-from-extents ly:grob::pure-simple-vertical-skylines-from-extents)
    \override Hairpin.Y-offset = @{hairpin_raised_sp}
    \override Hairpin.height = @{hairpin_height_sp}
    \override TextSpanner.Y-offset = 0
    \override TextSpanner.outside-staff-priority = ##f
    \override TextSpanner.dash-period = @{line_period_sp}
    \override TextSpanner.dash-fraction = @{line_fraction}
    \override TextSpanner.thickness = @{line_thickness}
    \override TextSpanner.bound-details.left.padding = @{line_gap_sp}
    \override TextSpanner.bound-details.right.text = \markup \draw-line #'(0 . -0.6)
    \override TextSpanner.bound-details.right-broken.text = ##f
    \override TextSpanner.font-shape = #'upright
  }
  \context { \MarkRow \name RowAbove \override VerticalAxisGroup.staff-affinity = #DOWN }
  \context { \MarkRow \name RowBelow \override VerticalAxisGroup.staff-affinity = #UP }
  \context { \StaffGroup \accepts RowAbove \accepts RowBelow }
  \context {
    \Score
    $(add-grace-property 'Voice 'Fingering 'font-size @{grace_digit_steps})
    \accepts RowAbove
    \accepts RowBelow
    \omit BarNumber
    autoBeaming = ##f
    extraNatural = ##f
    \override TextSpanner.breakable = ##t
    \override TupletBracket.max-slope-factor = 0
    \override TupletBracket.staff-padding = @{tuplet_height_sp}
  }
  \context {
    \Staff
    \consists Span_arpeggio_engraver
    connectArpeggios = ##t
    fingeringOrientations = #'(left)
    autoAccidentals = #'()
    \override Fingering.font-size = @{digit_steps}
    \override Fingering.padding = @{digit_padding_sp}
    \override Fingering.extra-spacing-width = #'(-@{digit_air_sp} . 0)
    \override Fingering.layer = 1
    \override Slur.minimum-length = #room-under-slur
    \override Fingering.whiteout = 0.1
    \override Fingering.whiteout-style = #'box@{thicker_lines}
  }
}
