// Texts of the layout's small enumerations, as the file has them.
#pragma once

#include "layout/layout.h"
#include "layout/words.h"

namespace verdigrid {

inline constexpr Words<Side, 2> k_sides{{{Side::front, "front"}, {Side::back, "back"}}};
inline constexpr Words<Hatch, 7> k_hatches{{{Hatch::none, "none"},
                                            {Hatch::rising, "rising"},
                                            {Hatch::falling, "falling"},
                                            {Hatch::cross, "cross"},
                                            {Hatch::level, "level"},
                                            {Hatch::upright, "upright"},
                                            {Hatch::dots, "dots"}}};
inline constexpr Words<NegativeEnd, 5> k_negative_ends{{{NegativeEnd::unknown, "unknown"},
                                                        {NegativeEnd::left, "left"},
                                                        {NegativeEnd::right, "right"},
                                                        {NegativeEnd::up, "up"},
                                                        {NegativeEnd::down, "down"}}};
inline constexpr Words<BodyShape, 2> k_body_shapes{
    {{BodyShape::box, "box"}, {BodyShape::round, "round"}}};
inline constexpr Words<LayoutNoteKind, 4> k_note_kinds{{{LayoutNoteKind::pin, "pin"},
                                                        {LayoutNoteKind::outline, "outline"},
                                                        {LayoutNoteKind::arrow, "arrow"},
                                                        {LayoutNoteKind::text, "text"}}};
inline constexpr Words<LayoutOrigin, 5> k_origins{{{LayoutOrigin::hand, "hand"},
                                                   {LayoutOrigin::centroid, "centroid-csv"},
                                                   {LayoutOrigin::kicad, "kicad-pcb"},
                                                   {LayoutOrigin::ipc_d_356, "ipc-d-356"},
                                                   {LayoutOrigin::gerber, "gerber-profile"}}};

}  // namespace verdigrid
