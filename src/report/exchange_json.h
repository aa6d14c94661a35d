// Findings for other programs: as COCO instance segmentation, and as polygons on the board.
//
// COCO: the object-detection format of the data set of that name (T.-Y. Lin et al., "Microsoft
// COCO: Common Objects in Context", arXiv:1405.0312; field list from memory): images, annotations,
// categories. COCO's points are measured from the picture's corner, ours from the middle of the
// first pixel: half a pixel is added. A finding with holes is written as run lengths, since COCO's
// polygons have none. May be called from any thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "measure/survey.h"

namespace verdigrid {

// One image, one annotation per finding with the finding's id, one category per residue class with
// the class's id. Area and box are those of the finding's pixels.
std::string coco_json(const Survey& survey);

// A region that another program or a person drew.
struct CocoRegion {
  Residue residue = Residue::unsure;  // by the category's name; unsure for a name that is no class
  std::vector<Polygon> regions_px;    // photo px, as Finding::regions_px
};

// Annotations of the image whose size is `photo_px` (and whose file name is `photo_name`, when the
// file holds several of that size). Polygons and uncompressed run lengths are read. Throws
// Error{bad_input} naming the path of the first wrong field, or that no image fits.
std::vector<CocoRegion> coco_regions(std::string_view text, const std::string& where,
                                     const std::string& photo_name, cv::Size photo_px);

// format "verdigrid-polygons", version 1, schema assets/schema/polygons.schema.json: every finding
// as polygons in mm of the board frame, or board px without a scale.
std::string polygons_json(const Survey& survey);

}  // namespace verdigrid
