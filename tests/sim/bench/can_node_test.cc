// Fault confinement of Bosch's CAN Specification 2.0, counted by hand.
#include "sim/bench/can_node.h"

#include <gtest/gtest.h>

namespace {

using sim::bench::CanNode;

// +8 a frame: 16 make 128, error passive; 31 make 248; the 32nd makes 256, beyond 255.
TEST(CanNode, SixteenDestroyedFramesMakePassiveAndThirtyTwoBusOff) {
  CanNode node;
  for (int k = 0; k < 15; ++k) node.frame_destroyed();
  EXPECT_FALSE(node.passive());
  node.frame_destroyed();
  EXPECT_EQ(node.transmit_errors(), 128);
  EXPECT_TRUE(node.passive());
  for (int k = 16; k < 31; ++k) node.frame_destroyed();
  EXPECT_FALSE(node.off());
  node.frame_destroyed();
  EXPECT_TRUE(node.off());
}

TEST(CanNode, FramesThatPassTakeErrorsBack) {
  CanNode node;
  for (int k = 0; k < 16; ++k) node.frame_destroyed();
  node.frame_sent();
  EXPECT_EQ(node.transmit_errors(), 127);
  EXPECT_FALSE(node.passive());
}

TEST(CanNode, AReceiverTurnsPassiveButNeverGoesOff) {
  CanNode node;
  for (int k = 0; k < 1000; ++k) node.frame_missed();
  EXPECT_TRUE(node.passive());
  EXPECT_FALSE(node.off());
  node.frame_received();
  EXPECT_EQ(node.receive_errors(), 127);
  node.frame_received();
  EXPECT_EQ(node.receive_errors(), 126);
}

// 128 times 11 bits: 1407 are not enough.
TEST(CanNode, ComesBackAfter1408RecessiveBits) {
  CanNode node;
  node.go_off();
  EXPECT_FALSE(node.sees_recessive(1407));
  EXPECT_TRUE(node.off());
  EXPECT_TRUE(node.sees_recessive(1));
  EXPECT_FALSE(node.off());
  EXPECT_EQ(node.transmit_errors(), 0);
}

}  // namespace
