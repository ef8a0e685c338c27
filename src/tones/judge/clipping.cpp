#include "tones/judge/clipping.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>

namespace tattletone::tones {
namespace {

constexpr int most_strongest = 99, most_others = 6;  // orders: of the strongest tone, of the others together
constexpr std::size_t most_parents = 24;
constexpr double parents_below_db = 50.0;
// A product's level is told from its parents': each order of a weaker one costs by how much it is weaker, and n orders
// cost 20 lg n dB, as for the square wave that a limit makes of one tone. A weak tone beside a strong one leaves 2 f1 -
// f2 as loud as itself (N. M. Blachman, IEEE Trans. Inf. Theory 10(2), 1964, from memory).
constexpr double above_bound_db = 10.0;
constexpr double agree_sds = 4.0, grid_slack_hz = 0.006;
constexpr double widest_hz = 4.0;  // of products of tones that move; wider ones tell nothing

struct Product {
    double hz = 0.0;  ///< before folding; may be negative
    double variance = 0.0, wander_hz = 0.0;
    double level_db = 0.0;  ///< without the share of its order
    int order = 0, others = 0;
};

class Marker {
  public:
    Marker(std::vector<Tone>& tones, double sample_rate_hz)
        : tones_(tones), sample_rate_hz_(sample_rate_hz), marked_(tones.size(), 0) {}

    void mark() {
        std::vector<std::size_t> order(tones_.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return tones_[a].level_dbfs > tones_[b].level_dbfs; });
        if (order.empty()) return;
        weakest_db_ = tones_[order.back()].level_dbfs;
        const double loudest_db = tones_[order.front()].level_dbfs;
        for (const std::size_t at : order) {
            if (marked_[at]) continue;
            if (parents_.size() == most_parents || tones_[at].level_dbfs < loudest_db - parents_below_db) break;
            parents_.push_back(at);
            begin_with_newest();
        }
    }

  private:
    // Every combination in which the newest parent takes part and stronger ones may.
    void begin_with_newest() {
        const std::size_t newest = parents_.size() - 1;
        const int most = newest == 0 ? most_strongest : most_others;
        for (int times = 1; times <= most; ++times) {
            // A combination and its mirror fold to the same line, so the newest counts upwards.
            const Product product = with({}, newest, times);
            if (!worthwhile(product)) break;
            go_on(product, newest);
        }
    }

    // What the parents before `next` add to it.
    void go_on(const Product& product, std::size_t next) {
        if (next == 0) {
            if (product.order % 2 == 1 && product.order > 1) meet(product);
            return;
        }
        go_on(product, next - 1);
        const int most = next == 1 ? most_strongest : most_others - product.others;
        for (int times = 1; times <= most; ++times) {
            const Product up = with(product, next - 1, times);
            if (!worthwhile(up)) break;
            go_on(up, next - 1);
            go_on(with(product, next - 1, -times), next - 1);
        }
    }

    Product with(Product product, std::size_t parent, int times) const {
        const Tone& tone = tones_[parents_[parent]];
        const double loudest_db = tones_[parents_.front()].level_dbfs;
        const int count = std::abs(times);
        product.hz += times * tone.hz;
        product.variance += times * times * tone.hz_sd * tone.hz_sd;
        product.wander_hz += count * tone.wander_hz;
        product.level_db += count * (tone.level_dbfs - loudest_db);
        product.order += count;
        if (parent > 0) product.others += count;
        return product;
    }

    double bound_db(const Product& product) const {
        return tones_[parents_.front()].level_dbfs + product.level_db - 20.0 * std::log10(product.order) +
               above_bound_db;
    }

    bool worthwhile(const Product& product) const { return bound_db(product) >= weakest_db_; }

    void meet(const Product& product) {
        const double half = 0.5 * sample_rate_hz_;
        double hz = std::fmod(std::abs(product.hz), sample_rate_hz_);
        if (hz > half) hz = sample_rate_hz_ - hz;
        const double bound = bound_db(product);
        const double sd = std::sqrt(product.variance);
        const double most_reach = agree_sds * sd + 2.0 * product.wander_hz + widest_hz;
        const auto from = std::lower_bound(tones_.begin(), tones_.end(), hz - most_reach,
                                           [](const Tone& tone, double at) { return tone.hz < at; });
        for (auto tone = from; tone != tones_.end() && tone->hz <= hz + most_reach; ++tone) {
            const auto index = static_cast<std::size_t>(tone - tones_.begin());
            const double reach =
                agree_sds * std::hypot(sd, tone->hz_sd) + 2.0 * (product.wander_hz + tone->wander_hz) + grid_slack_hz;
            if (marked_[index] || tone->level_dbfs > bound || reach > widest_hz || std::abs(tone->hz - hz) > reach ||
                std::find(parents_.begin(), parents_.end(), index) != parents_.end())
                continue;
            marked_[index] = 1;
            tone->product_hz = hz;
            tone->product_hz_sd = std::hypot(sd, product.wander_hz, 1e-4);
            if (tone->origin != Origin::board && tone->origin != Origin::unsure) continue;
            tone->origin = Origin::unsure;
            char text[120];
            std::snprintf(text, sizeof text, "made by the clipping of stronger tones, the strongest at %.1f Hz",
                          tones_[parents_.front()].hz);
            tone->rejection = text;
        }
    }

    std::vector<Tone>& tones_;
    double sample_rate_hz_;
    double weakest_db_ = 0.0;
    std::vector<char> marked_;
    std::vector<std::size_t> parents_;
};

}  // namespace

void mark_products(std::vector<Tone>& tones, double sample_rate_hz) {
    Marker(tones, sample_rate_hz).mark();
}

}  // namespace tattletone::tones
