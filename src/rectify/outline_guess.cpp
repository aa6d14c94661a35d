// Guesses of where the board is, from colour and texture alone.
#include <algorithm>
#include <cmath>
#include <numeric>
#include <opencv2/imgproc.hpp>

#include "base/lab_picture.h"
#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

constexpr int k_guess_long_side_px = 320;
constexpr float k_colour_weight = 1.6F;  // a and b against L: light varies more than hue
constexpr float k_texture_weight = 1.2F;
constexpr float k_texture_cap = 15.F;
constexpr double k_trimmed_prior = 1.05, k_tongue_prior = 1.2, k_island_prior = 0.85;
constexpr double k_enough_ground = 0.8;

cv::Mat texture_of(const cv::Mat& lightness) {
  cv::Mat mean, square, deviation;
  cv::blur(lightness, mean, {5, 5});
  cv::blur(lightness.mul(lightness), square, {5, 5});
  cv::Mat variance = square - mean.mul(mean);
  cv::max(variance, 0, variance);
  cv::sqrt(variance, deviation);
  return cv::min(deviation, k_texture_cap);
}

cv::Mat features_of(const cv::Mat& lab) {
  std::vector<cv::Mat> channels;
  cv::split(lab, channels);
  const cv::Mat texture = texture_of(channels[0]);
  cv::Mat features;
  cv::merge(std::vector<cv::Mat>{channels[0], channels[1] * k_colour_weight,
                                 channels[2] * k_colour_weight, texture * k_texture_weight},
            features);
  return features;
}

Palette palette_of(const cv::Mat& features) {
  const int step = std::max(1, static_cast<int>(features.total() / 5000));
  cv::Mat samples;
  const cv::Mat flat = features.reshape(4, static_cast<int>(features.total()));
  for (int i = 0; i < flat.rows; i += step) {
    const cv::Vec4f& f = flat.at<cv::Vec4f>(i);
    samples.push_back(cv::Mat(1, 4, CV_32F, const_cast<float*>(f.val)).clone());
  }
  cv::Mat labels, centres;
  cv::theRNG().state = 20;  // k-means starts from the same seeds every time
  cv::kmeans(samples, std::min(k_palette_size, samples.rows), labels,
             cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 8, 0.5), 1,
             cv::KMEANS_PP_CENTERS, centres);
  Palette palette;
  for (int i = 0; i < centres.rows; ++i)
    palette.centres.emplace_back(centres.at<float>(i, 0), centres.at<float>(i, 1),
                                 centres.at<float>(i, 2), centres.at<float>(i, 3));
  return palette;
}

cv::Mat groups_of(const cv::Mat& features, const Palette& palette) {
  cv::Mat groups(features.size(), CV_8UC1);
  cv::parallel_for_({0, features.rows}, [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y)
      for (int x = 0; x < features.cols; ++x)
        groups.at<uchar>(y, x) =
            static_cast<uchar>(nearest_group(palette, features.at<cv::Vec4f>(y, x)));
  });
  return groups;
}

std::vector<double> histogram_of(const cv::Mat& groups, const cv::Mat& where, size_t size) {
  std::vector<double> h(size, 0.5);  // half a pixel each: no group is impossible
  for (int y = 0; y < groups.rows; ++y)
    for (int x = 0; x < groups.cols; ++x)
      if (where.at<uchar>(y, x)) h[groups.at<uchar>(y, x)] += 1;
  const double sum = std::accumulate(h.begin(), h.end(), 0.0);
  for (double& v : h) v /= sum;
  return h;
}

GroupOdds odds_of(const std::vector<double>& background, const std::vector<double>& board) {
  GroupOdds odds(background.size());
  for (size_t i = 0; i < odds.size(); ++i)
    odds[i] = static_cast<float>(
        std::clamp(std::log((background[i] + 1e-4) / (board[i] + 1e-4)), -3.0, 3.0));
  return odds;
}

cv::Mat odds_map(const cv::Mat& groups, const GroupOdds& odds) {
  cv::Mat map(groups.size(), CV_32F);
  for (int y = 0; y < groups.rows; ++y)
    for (int x = 0; x < groups.cols; ++x) map.at<float>(y, x) = odds[groups.at<uchar>(y, x)];
  return map;
}

// What background cannot be reached from the seed is a part on the board.
cv::Mat reached(const cv::Mat& background, const cv::Mat& seed) {
  cv::Mat labels;
  const int count = cv::connectedComponents(background, labels, 4);
  std::vector<uchar> touched(static_cast<size_t>(count), 0);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (seed.at<uchar>(y, x)) touched[static_cast<size_t>(labels.at<int>(y, x))] = 255;
  touched[0] = 0;
  cv::Mat out(background.size(), CV_8UC1);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      out.at<uchar>(y, x) = touched[static_cast<size_t>(labels.at<int>(y, x))];
  return out;
}

// Connected pieces, largest first, down to `least_ratio` of the largest.
std::vector<cv::Mat> pieces_of(const cv::Mat& board, double least_ratio) {
  cv::Mat labels;  // counted here: the library's own statistics cost ten times as much
  const int count = cv::connectedComponents(board, labels, 4);
  std::vector<int> sizes(static_cast<size_t>(count), 0), order;
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) ++sizes[static_cast<size_t>(labels.at<int>(y, x))];
  for (int i = 1; i < count; ++i) order.push_back(i);
  const auto size = [&](int i) { return sizes[static_cast<size_t>(i)]; };
  std::stable_sort(order.begin(), order.end(), [&](int x, int y) { return size(x) > size(y); });
  std::vector<cv::Mat> pieces;
  for (const int i : order)
    if (size(i) >= least_ratio * size(order[0])) pieces.push_back(labels == i);
  return pieces;
}

cv::Mat largest_piece(const cv::Mat& board) {
  const std::vector<cv::Mat> pieces = pieces_of(board, 1);
  return pieces.empty() ? cv::Mat(board.size(), CV_8UC1, cv::Scalar(0)) : pieces[0];
}

struct Seed {
  cv::Mat background;  // surely background
  cv::Mat board;       // probably board
};

struct Segmented {
  cv::Mat board;   // largest piece
  cv::Mat inside;  // all that is no background
  GroupOdds odds;
};

Segmented segmented(const cv::Mat& groups, const Palette& palette, const Seed& seed) {
  constexpr int k_rounds = 5;
  const size_t size = palette.centres.size();
  std::vector<double> background = histogram_of(groups, seed.background, size);
  std::vector<double> board = histogram_of(groups, seed.board, size);
  Segmented s;
  cv::Mat before(groups.size(), CV_8UC1, cv::Scalar(0));
  for (int round = 0; round < k_rounds; ++round) {
    s.odds = odds_of(background, board);
    cv::Mat map = odds_map(groups, s.odds);
    cv::GaussianBlur(map, map, {}, 1.2);
    const cv::Mat far = reached(map > 0, seed.background);
    cv::Mat inside;
    cv::bitwise_not(far, inside);
    inside = opened(inside, 3);
    s.inside = inside;
    s.board = largest_piece(inside);
    if (cv::countNonZero(s.board) < 50) return s;
    cv::Mat changed;
    cv::bitwise_xor(before, s.board, changed);
    if (cv::countNonZero(changed) < 0.002 * cv::countNonZero(s.board)) break;
    before = s.board;
    background = histogram_of(groups, ~grown(s.board, 2), size);
    board = histogram_of(groups, shrunk(s.board, 2), size);
  }
  return s;
}

std::vector<Seed> seeds_for(const cv::Mat& groups) {
  const int w = groups.cols, h = groups.rows, band = std::max(2, std::max(w, h) / 50);
  cv::Mat middle(groups.size(), CV_8UC1, cv::Scalar(0));
  cv::ellipse(middle, {w / 2, h / 2}, {w * 2 / 5, h * 2 / 5}, 0, 0, 360, 255, cv::FILLED);
  const std::array<cv::Rect, 4> sides{cv::Rect(0, 0, w, band), cv::Rect(w - band, 0, band, h),
                                      cv::Rect(0, h - band, w, band), cv::Rect(0, 0, band, h)};
  std::vector<Seed> seeds;
  for (const unsigned use : {15U, 14U, 13U, 11U, 7U, 5U, 10U}) {
    cv::Mat background(groups.size(), CV_8UC1, cv::Scalar(0));
    for (size_t i = 0; i < 4; ++i)
      if (use >> i & 1U) background(sides[i]) = 255;
    seeds.push_back({background, middle});
  }
  return seeds;
}

// One seed for each colour that fills a good part of the frame's rim.
std::vector<Seed> colour_seeds(const cv::Mat& groups, const Palette& palette) {
  const Seed rim = seeds_for(groups).front();
  const std::vector<double> h = histogram_of(groups, rim.background, palette.centres.size());
  std::vector<Seed> seeds;
  for (size_t i = 0; i < h.size(); ++i) {
    if (h[i] < 0.08) continue;
    cv::Mat alike(groups.size(), CV_8UC1, cv::Scalar(0));
    for (size_t k = 0; k < h.size(); ++k)
      if (cv::norm(palette.centres[i] - palette.centres[k]) < 12)
        alike.setTo(255, groups == static_cast<int>(k));
    cv::Mat background;
    cv::bitwise_and(alike, rim.background, background);
    cv::Mat board = ~alike;
    seeds.push_back({background, board});
  }
  return seeds;
}

double frame_share_of(const Ring& ring, cv::Size size) {
  double along = 0, all = 0;
  for (size_t i = 0; i < ring.size(); ++i) {
    const cv::Point2d a = ring[i], b = ring[(i + 1) % ring.size()], m = (a + b) * 0.5;
    const double length = cv::norm(b - a);
    all += length;
    if (m.x < 2 || m.y < 2 || m.x > size.width - 3 || m.y > size.height - 3) along += length;
  }
  return all > 0 ? along / all : 1;
}

std::optional<Ring> ring_of(const cv::Mat& board) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(board, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  if (contours.empty()) return std::nullopt;
  const auto& largest = *std::max_element(
      contours.begin(), contours.end(),
      [](const auto& a, const auto& b) { return cv::contourArea(a) < cv::contourArea(b); });
  if (largest.size() < 12) return std::nullopt;
  Ring ring(largest.begin(), largest.end());
  return clockwise(ring);
}

// Share of the length of a piece's rim beside which lies what also lies along the photo's rim.
double ground_share(const cv::Mat& groups, const cv::Mat& board, size_t size) {
  const Seed rim = seeds_for(groups).front();
  const std::vector<double> along_rim = histogram_of(groups, rim.background, size);
  const std::vector<double> anywhere =
      histogram_of(groups, cv::Mat(groups.size(), CV_8UC1, 255), size);
  const cv::Mat wide = grown(board, 4), wider = grown(board, 5);
  double ground = 0, all = 0;
  for (int y = 0; y < groups.rows; ++y)
    for (int x = 0; x < groups.cols; ++x) {
      if (!wider.at<uchar>(y, x) || wide.at<uchar>(y, x)) continue;
      const uchar g = groups.at<uchar>(y, x);
      all += 1;
      ground += along_rim[g] > 0.5 * anywhere[g];
    }
  return all > 0 ? ground / all : 0;
}

// A hue that lies together may be the solder mask, whatever surrounds it.
template <class Add>
void add_island(const cv::Mat& island, const Guesses& g, Add add_board) {
  const cv::Mat board = closed(opened(island, 1), 9);
  cv::Mat rim(board.size(), CV_8UC1, cv::Scalar(255));
  rim(cv::Rect(1, 1, rim.cols - 2, rim.rows - 2)) = 0;
  const cv::Mat filled = largest_piece(opened(~reached(~board, rim), 5));
  const size_t size = g.palette.centres.size();
  if (cv::countNonZero(filled) < 50) return;
  add_board(filled,
            odds_of(histogram_of(g.groups, ~filled, size), histogram_of(g.groups, filled, size)),
            k_island_prior * std::min(1.0, ground_share(g.groups, filled, size) / k_enough_ground));
}

}  // namespace

cv::Vec4f palette_feature(const cv::Vec3f& lab, float texture) {
  return {lab[0], lab[1] * k_colour_weight, lab[2] * k_colour_weight,
          std::min(texture, k_texture_cap) * k_texture_weight};
}

int nearest_group(const Palette& palette, const cv::Vec4f& feature) {
  int best = 0;
  float best_distance = 1e30F;
  for (size_t i = 0; i < palette.centres.size(); ++i) {
    const cv::Vec4f d = feature - palette.centres[i];
    const float distance = d.dot(d);
    if (distance < best_distance) {
      best_distance = distance;
      best = static_cast<int>(i);
    }
  }
  return best;
}

LabPicture lab_picture(const cv::Mat& bgr, int long_side_px) {
  LabPicture picture;
  cv::Mat small = bgr, unit;
  // By a whole number first, which is many times faster, then the rest.
  if (const int whole = std::max(bgr.cols, bgr.rows) / long_side_px; whole > 1) {
    const cv::Mat even = small(cv::Rect(0, 0, bgr.cols / whole * whole, bgr.rows / whole * whole));
    cv::resize(even, small, even.size() / whole, 0, 0, cv::INTER_AREA);
    picture.scale = whole;
  }
  const double rest = std::max(small.cols, small.rows) / static_cast<double>(long_side_px);
  if (rest > 1) {
    cv::resize(small, unit, {}, 1 / rest, 1 / rest, cv::INTER_AREA);
    small = unit;
    picture.scale *= rest;
  }
  picture.lab = lab_of_bgr(small);
  picture.bgr = small;
  return picture;
}

cv::Point2d photo_from_picture(cv::Point2d p, double scale) {
  return (p + cv::Point2d(0.5, 0.5)) * scale - cv::Point2d(0.5, 0.5);
}

Ring scaled_ring(const Ring& ring_px, double from_scale, double to_scale) {
  Ring ring;
  for (const cv::Point2d p : ring_px) ring.push_back(photo_from_picture(p, from_scale / to_scale));
  return ring;
}

Guesses board_guesses(const LabPicture& picture, const OutlineOptions& options) {
  Guesses g;
  g.picture = lab_picture(picture.bgr, k_guess_long_side_px);
  g.picture.scale *= picture.scale;
  const cv::Mat features = features_of(g.picture.lab);
  g.palette = palette_of(features);
  g.groups = groups_of(features, g.palette);
  std::vector<Seed> seeds = seeds_for(g.groups);
  for (Seed& seed : colour_seeds(g.groups, g.palette)) seeds.push_back(std::move(seed));
  std::vector<cv::Mat> known;
  const auto add = [&](const cv::Mat& board, const GroupOdds& odds, double prior) {
    const double share = cv::countNonZero(board) / static_cast<double>(board.total());
    if (share < options.least_area_share) return;
    const auto ring = ring_of(board);
    if (ring) g.boards.push_back({*ring, odds, prior, frame_share_of(*ring, board.size())});
  };
  const auto add_board = [&](const cv::Mat& board, const GroupOdds& odds, double prior) {
    const int size = cv::countNonZero(board);
    for (const cv::Mat& other : known)
      if (cv::countNonZero(other != board) < 0.01 * size) return;
    known.push_back(board);
    add(board, odds, prior);
    const cv::Mat solder = solder_mask_pixels(g.groups, g.palette, board, odds);
    const Trimmed t = trimmed(board, solder, {g.picture.lab, g.groups, g.palette, odds});
    add(largest_piece(t.board), odds, prior * (t.tongues > 0 ? k_tongue_prior : k_trimmed_prior));
  };
  std::vector<Segmented> parts(seeds.size());
  cv::parallel_for_({0, static_cast<int>(seeds.size())}, [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i)
      parts[static_cast<size_t>(i)] = segmented(g.groups, g.palette, seeds[static_cast<size_t>(i)]);
  });
  for (const Segmented& s : parts)
    for (const cv::Mat& piece : pieces_of(s.inside, options.rival_area_ratio))
      add_board(piece, s.odds, 1);
  for (const cv::Mat& island : colour_islands(g.groups, g.palette))
    add_island(island, g, add_board);
  return g;
}

}  // namespace verdigrid
