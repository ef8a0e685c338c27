#include <catch2/catch.hpp>

#include "logbook/storage/sha256.h"
#include "logbook/units/identity.h"
#include "support/names.h"

#include <regex>
#include <set>

using namespace tattletone;

// NIST, "Cryptographic Standards and Guidelines: Examples with Intermediate Values", SHA-256 (the
// examples of FIPS 180-2, appendix B, to which FIPS 180-4 refers): one block, two blocks, a million
// 'a'; and the empty message of the NIST test vectors (SHA256ShortMsg, length 0).
TEST_CASE("SHA-256 of the published examples") {
    CHECK(sha256_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256_of("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(sha256_of("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(sha256_of(std::string(1'000'000, 'a')) == "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("SHA-256 does not depend on the pieces") {
    const std::string text(1000, 'x');
    for (const std::size_t piece : {1U, 3U, 55U, 56U, 63U, 64U, 65U, 127U, 200U}) {
        Sha256 hash;
        for (std::size_t at = 0; at < text.size(); at += piece) hash.add(std::string_view(text).substr(at, piece));
        INFO("pieces of " << piece);
        CHECK(hash.finish() == sha256_of(text));
    }
}

// RFC 9562, section 5.4: version 4 in the seventh byte, variant 10 in the ninth.
TEST_CASE("ids are random UUIDs") {
    const std::regex form("[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}");
    std::set<std::string> seen;
    for (int i = 0; i < 1000; ++i) {
        const std::string id = new_id();
        CHECK(std::regex_match(id, form));
        seen.insert(id);
    }
    CHECK(seen.size() == 1000);
    CHECK(std::regex_match(now_utc(), std::regex(R"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z)")));
}
