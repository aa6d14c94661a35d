#include "detect/forest.h"

#include <algorithm>
#include <numeric>

#include "base/error.h"

namespace verdigrid {

void ForestOptions::check() const {
  const auto refuse = [](const char* sentence) { throw Error(ErrorKind::wrong_use, sentence); };
  if (trees < 1 || trees > 10000) refuse("trees must lie between 1 and 10000.");
  if (depth < 1 || depth > 64) refuse("depth must lie between 1 and 64.");
  if (tries < 1) refuse("tries must be 1 or more.");
  if (!(least_weight >= 0)) refuse("least_weight must be 0 or more.");
  if (!(prior_weight >= 0)) refuse("prior_weight must be 0 or more.");
}

class TreeGrower {
 public:
  TreeGrower(const std::vector<Sample>& samples, const ForestOptions& options, std::uint64_t seed)
      : samples_(samples), options_(options), rng_(seed) {}

  Forest::Tree grown() {
    std::vector<int> all(samples_.size());
    std::iota(all.begin(), all.end(), 0);
    grow(all, 0, static_cast<int>(all.size()), 0);
    return std::move(tree_);
  }

 private:
  struct Cut {
    int feature = -1;
    float at = 0;
    double impurity = 0;
  };

  const Sample& sample(int i) const { return samples_[static_cast<std::size_t>(i)]; }

  ClassShares weights(const std::vector<int>& order, int from, int to) const {
    ClassShares w{};
    for (int i = from; i < to; ++i) {
      const auto& s = sample(order[static_cast<std::size_t>(i)]);
      w[static_cast<std::size_t>(s.label)] += s.weight;
    }
    return w;
  }

  static double sum(const ClassShares& w) { return std::accumulate(w.begin(), w.end(), 0.0); }

  // Weight times Gini impurity.
  static double impurity(const ClassShares& w) {
    const double total = sum(w);
    double squares = 0;
    for (const float v : w) squares += static_cast<double>(v) * v;
    return total > 0 ? total - squares / total : 0;
  }

  Cut tried_cut(const std::vector<int>& order, int from, int to, const ClassShares& all) {
    Cut cut;
    const auto features = sample(0).features.size();
    const auto f = static_cast<std::size_t>(rng_.uniform(0, static_cast<int>(features)));
    float low = sample(order[static_cast<std::size_t>(from)]).features[f], high = low;
    for (int i = from; i < to; ++i) {
      const float v = sample(order[static_cast<std::size_t>(i)]).features[f];
      low = std::min(low, v);
      high = std::max(high, v);
    }
    if (!(high > low)) return cut;
    cut.at = low + static_cast<float>(rng_.uniform(0.02, 0.98)) * (high - low);
    ClassShares left{}, right = all;
    for (int i = from; i < to; ++i) {
      const auto& s = sample(order[static_cast<std::size_t>(i)]);
      if (s.features[f] >= cut.at) continue;
      left[static_cast<std::size_t>(s.label)] += s.weight;
      right[static_cast<std::size_t>(s.label)] -= s.weight;
    }
    for (float& v : right) v = std::max(v, 0.F);
    if (sum(left) <= 0 || sum(right) <= 0) return cut;
    cut.feature = static_cast<int>(f);
    cut.impurity = impurity(left) + impurity(right);
    return cut;
  }

  Cut best_cut(const std::vector<int>& order, int from, int to, const ClassShares& all) {
    Cut best;
    for (int t = 0; t < options_.tries; ++t) {
      const Cut cut = tried_cut(order, from, to, all);
      if (cut.feature >= 0 && (best.feature < 0 || cut.impurity < best.impurity)) best = cut;
    }
    return best;
  }

  int grow(std::vector<int>& order, int from, int to, int depth) {
    const int index = static_cast<int>(tree_.size());
    tree_.emplace_back();
    const ClassShares w = weights(order, from, to);
    const double total = sum(w);
    const bool is_pure = *std::max_element(w.begin(), w.end()) >= total * 0.999999;
    Cut cut;
    if (!is_pure && depth < options_.depth && total > options_.least_weight)
      cut = best_cut(order, from, to, w);
    if (cut.feature < 0) {
      auto& leaf = tree_[static_cast<std::size_t>(index)];
      const double all = total + options_.prior_weight;
      for (std::size_t c = 0; c < w.size(); ++c)
        leaf.shares[c] =
            static_cast<float>((w[c] + options_.prior_weight * options_.prior[c]) / all);
      return index;
    }
    const auto middle = std::partition(order.begin() + from, order.begin() + to, [&](int i) {
      return sample(i).features[static_cast<std::size_t>(cut.feature)] < cut.at;
    });
    const int split = static_cast<int>(middle - order.begin());
    const int left = grow(order, from, split, depth + 1);
    const int right = grow(order, split, to, depth + 1);
    auto& node = tree_[static_cast<std::size_t>(index)];
    node.feature = cut.feature;
    node.cut = cut.at;
    node.left = left;
    node.right = right;
    return index;
  }

  const std::vector<Sample>& samples_;
  const ForestOptions& options_;
  cv::RNG rng_;
  Forest::Tree tree_;
};

Forest::Forest(const std::vector<Sample>& samples, const ForestOptions& options) {
  options.check();
  require(!samples.empty(), "a forest needs samples");
  trees_.resize(static_cast<std::size_t>(options.trees));
  cv::parallel_for_(cv::Range(0, options.trees), [&](const cv::Range& range) {
    for (int t = range.start; t < range.end; ++t) {
      const std::uint64_t seed =
          options.seed * 0x9e3779b97f4a7c15ULL + static_cast<unsigned>(t) + 1;
      trees_[static_cast<std::size_t>(t)] = TreeGrower(samples, options, seed).grown();
    }
  });
}

std::vector<ClassShares> Forest::shares(const cv::Mat& features) const {
  require(features.type() == CV_32FC1 || features.rows == 0, "features are float rows");
  std::vector<ClassShares> result(static_cast<std::size_t>(features.rows));
  cv::parallel_for_(cv::Range(0, features.rows), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const auto* row = features.ptr<float>(i);
      ClassShares sum{};
      for (const Tree& tree : trees_) {
        const Node* node = tree.data();
        while (node->feature >= 0)
          node = tree.data() + (row[node->feature] < node->cut ? node->left : node->right);
        for (std::size_t c = 0; c < sum.size(); ++c) sum[c] += node->shares[c];
      }
      for (float& v : sum) v /= static_cast<float>(trees_.size());
      result[static_cast<std::size_t>(i)] = sum;
    }
  });
  return result;
}

}  // namespace verdigrid
